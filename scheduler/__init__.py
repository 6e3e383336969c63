"""When it is said: the sweep of a local day, the texts of a farmer's day, the sender and its worker."""
