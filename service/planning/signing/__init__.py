"""Signed sheets: the club's key, a PDF signature that any reader can check, and the check itself.

The key is made once, at set-up, and kept only encrypted. A signature is PAdES B-B (ETSI EN 319 142-1, from memory,
not re-read); who signs, in which role and when stands on the page too.
"""
