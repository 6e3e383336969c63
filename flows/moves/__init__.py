"""The moves of the conversation: one function for what a row of the table does."""
