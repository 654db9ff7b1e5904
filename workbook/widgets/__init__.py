"""What the notebooks show: ``will_it_boot`` and its kin, one function a notebook."""

from widgets.boot_page import will_it_boot

__all__ = ["will_it_boot"]
