"""The note language: an approver's sentence, and which stems of a pass it asks what of. No audio, no files."""
