"""Returns, allocation, blocks and cautions: what the next hours of practice are worth."""
