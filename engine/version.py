"""The version of the program, as written into opinions."""

VERSION = "0.1.0"
