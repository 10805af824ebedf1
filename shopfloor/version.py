"""The version of the program, in this one place."""

VERSION = "0.4.0"
