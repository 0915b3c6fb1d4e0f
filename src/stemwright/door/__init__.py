"""The front door of the library. The commands do nothing that cannot be done from here.

What comes back is data, with units in its names; nothing is printed.
"""
