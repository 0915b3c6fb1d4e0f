"""The plan of a pass, pure: which recipe takes which stem, every move in explicit numbers, and both in words."""
