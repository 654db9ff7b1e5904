"""Mutations drawn at random, by an operator of a library's and not by who wrote the tests."""
