"""What gateways and weather stations post to us."""
