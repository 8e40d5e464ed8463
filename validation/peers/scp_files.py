"""Reads set cover files of the OR-Library."""

from common import words


def read(path):
    """The costs of the columns, and the columns of each row."""
    numbers = iter(int(word) for word in words(path))
    rows, columns = next(numbers), next(numbers)
    costs = [next(numbers) for _ in range(columns)]
    covers = [[next(numbers) - 1 for _ in range(next(numbers))] for _ in range(rows)]
    return costs, covers
