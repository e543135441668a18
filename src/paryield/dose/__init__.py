"""Practice diary -> hours -> stock -> response."""
