"""The gist of a note: what it is about as a whole, by a small network that was fitted to many people's notes."""
