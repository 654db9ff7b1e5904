"""The normal distribution, from a library that is long to import: only where it is asked for.

``share_below``  share of it below values
``at_share``     values that it is below with a share
"""

from __future__ import annotations

from typing import Any


def share_below(values: Any) -> Any:
    """Return the share of the standard normal distribution below values.

    Parameters
    ----------
    values : float or array
        In standard deviations [1].

    Examples
    --------
    >>> float(share_below(0.0))
    0.5
    """
    from scipy.special import ndtr

    return ndtr(values)


def at_share(shares: Any) -> Any:
    """Return the values that the standard normal distribution is below with a share.

    Parameters
    ----------
    shares : float or array
        0 to 1 [1].

    Examples
    --------
    >>> round(float(at_share(0.975)), 2)
    1.96
    """
    from scipy.special import ndtri

    return ndtri(shares)
