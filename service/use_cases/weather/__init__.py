"""Weather: read from files and posts, kept, taken back, and what it threatens put before officers."""
