"""What measuring needs of a database: throw-away ones, many made-up farmers, and floors to be held against."""
