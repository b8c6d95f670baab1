"""Cases made ready to be given to others: without what is personal, or without their answers."""
