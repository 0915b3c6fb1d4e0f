"""The recipe language: strict YAML with positions, units, moves, inheritance, lookup, name matching, the session sheet."""
