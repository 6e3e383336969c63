"""The page of market prices."""
