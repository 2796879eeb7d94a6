"""The desk: a page in the browser of this machine to look at visits and put records right.

Made with Flask (pages by template, no build step) and Waitress (a server in plain Python): both
do one request at a time in one thread each, as the store wants it, and everything is rendered
here, so that the page works without any script.
"""
