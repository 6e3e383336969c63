"""Collection days: who follows them, how they are set and changed, what comes, and what is paid."""
