"""draw."""
