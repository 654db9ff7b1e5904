"""What has been measured of a build, kept in a file beside it: which value, how far it may be off, from where and when.

``Measurement``     one value of one key, from one capture or one reading on the bench
``Together``        how the errors of keys that one capture told go together
``MeasurementLog``  all of a build
``How``             on a capture or on the bench
``log_beside``, ``read_log``, ``add_to_log``, ``log_with``, ``log_text``, ``parse_log``, ``ENDING``
                    the file: its name, its content, more rows for it, a log as a text and back, what its name ends with
"""

from inrushlib.measurements.log import How, Measurement, MeasurementLog, Together
from inrushlib.measurements.log_file import ENDING, add_to_log, log_beside, log_text, log_with, parse_log, read_log

__all__ = [
    "ENDING",
    "How",
    "Measurement",
    "MeasurementLog",
    "Together",
    "add_to_log",
    "log_beside",
    "log_text",
    "log_with",
    "parse_log",
    "read_log",
]
