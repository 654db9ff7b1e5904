"""What to buy and what to change: searches over the start-up model.

``search``   where a value of a build makes it boot: scan, refine, islands
``adapter``  the smallest adapter and the next standard rating
``window``   the window for the first frame after the switch
"""
