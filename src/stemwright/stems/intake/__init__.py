"""Intake: what is wrong with the stems that arrived, found in one reading of their audio and judged in one place.

`listen` hears one stem block by block and keeps numbers only; `inquire` turns what was heard of all stems into findings.
"""

from stemwright.stems.intake.arrived import Arrived
from stemwright.stems.intake.heard import Heard
from stemwright.stems.intake.inquiry import inquire, no_numbers
from stemwright.stems.intake.listening import Listener, listen

__all__ = ["Arrived", "Heard", "Listener", "inquire", "listen", "no_numbers"]
