"""Audio files and the folder they came in: reading, writing, names and what is known before a move is made."""
