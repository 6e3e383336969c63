"""What is asked of the database, grouped by what it is about."""
