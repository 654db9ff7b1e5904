"""A build whose start hangs on one capacitor, by a closed form: a reservoir has to carry the rail through a gap.

The mains is away for a while. The controller's rail capacitor is charged by a regulator whose input collapses at once
(a small reservoir behind a diode): from then on the capacitor C alone feeds a constant current I, so the rail falls by
I t / C, and the controller resets where that is more than the rail is above its lower level. With C even over a range
the probability to hold is the share of the range above I t / (V - V_low).
"""
