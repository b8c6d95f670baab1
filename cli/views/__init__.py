"""Views of opinions and records for a terminal. They show; they never reason."""
