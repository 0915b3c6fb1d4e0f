"""Many songs at once: which they are, work on all of them over one executor, what came of each, and their index page."""
