"""What can get hot, blow or burn, and what it stands: findings on a build and its steady display.

``display``       all findings on a display in steady state
``switch_stress`` what the switch has to stand
``finding``       a finding: what was looked at, severity, numbers, and the sentence made from them
``conductors``, ``fuse_findings``, ``supply``, ``data_line``, ``limited_power``, ``switch_findings``
                  the findings by what they look at
``fuse``, ``fuse_pulse``, ``fault_current``
                  which fuse, the pulses it lives through, and what can blow it
``hardware``, ``pulse``
                  conductors with their ratings, and the pulse that a start sends through them
"""
