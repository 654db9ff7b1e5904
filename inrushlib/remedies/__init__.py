"""What to change so that a display starts.

``compare``  all remedies on a build, side by side
``plans``    one function for each remedy: the changed build, or why there is none
``risks``    what a remedy leaves thin
"""
