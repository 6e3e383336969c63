"""The database: tables, engines, queries and migrations. Nothing outside this package speaks SQL."""
