"""The guided question session in a terminal: reading lines, understanding them, and saying what comes of them."""
