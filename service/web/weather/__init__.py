"""The weather of districts: what is known, files of it, and taking them back."""
