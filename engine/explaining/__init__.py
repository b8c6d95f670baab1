"""Why, how sure, why not, what if and what would change it: an opinion's own account of itself.

Pure functions from one area of a case and the opinion on it to data and sentences; nothing here prints.
"""
