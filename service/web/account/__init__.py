"""An officer's own account: password, second factor, and where they are signed in."""
