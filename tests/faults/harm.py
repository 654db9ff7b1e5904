"""What can happen to a file on a disk: half of it, nothing, noise, one bit otherwise, or gone."""

from pathlib import Path


def first_half(path):
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def nothing(path):
    path.write_bytes(b"")


def noise(path):
    path.write_bytes(bytes(range(256)) * 8)


def a_turned_bit(path):
    data = bytearray(path.read_bytes())
    data[len(data) * 2 // 3] ^= 0x10
    path.write_bytes(data)


HARMS = (first_half, nothing, noise, a_turned_bit, Path.unlink)


def a_folder_in_its_place(path):
    path.unlink()
    path.mkdir()
