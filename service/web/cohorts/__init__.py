"""Is it working: how farmers who began alike are doing, and what experiments have found."""
