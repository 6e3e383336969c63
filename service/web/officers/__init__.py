"""Officers: who there is, and a new way in for one who has lost theirs."""
