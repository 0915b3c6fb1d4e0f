"""Leaving the house: the sum, a packed pass, the recall sheet, and files to audition rings by."""
