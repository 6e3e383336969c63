"""The pages: what an officer sees in a browser, and the practice phone and clock of a demo.

One folder a page family, with its views and templates; what all pages share stands beside the folders.
"""
