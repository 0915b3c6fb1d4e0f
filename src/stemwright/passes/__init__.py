"""Passes of a song: plan, render, manifest, history and proof."""
