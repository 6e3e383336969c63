"""Correcting who a farmer is, a changed number, and a pause or an end of texts on the farmer's word."""
