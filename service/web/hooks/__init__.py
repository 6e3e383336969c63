"""What gateways post to us."""
