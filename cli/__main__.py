"""`python -m cli` runs the program."""

from cli.main import main

main()
