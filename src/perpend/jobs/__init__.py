"""Whole jobs, from a path to a result: the rooms put in line, nothing decided here.

The command line, a batch and a program of the user's own all start from these functions; each stands
in a module of its own (`perpend.jobs.annotate`, `perpend.jobs.limits`), so that a quick job does not
load what a long one needs.
"""
