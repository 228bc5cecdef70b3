"""Whole screens: the list of projects, one project, and the small ones that ask or tell."""
