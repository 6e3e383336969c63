"""What is said: the conversation, the reader of texts that come in, and the catalogues of texts that go out.

Everything here is pure. It takes values and returns values; it reads no clock, no environment, no database.
"""
