"""Migrations, the first of which makes the whole schema."""
