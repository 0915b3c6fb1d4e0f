"""Fit the network of the gist: ``python tests/bench/gist/fit.py --to network.npz [--from before.npz] [--rounds 14] [--but 05.txt]``.

With torch 2.13.0, CPU, which the program itself has no use for. Each stem of each note is one case; of the stems that a note
neither names nor means a fifth is shown; `made` adds plain notes made from parts, `joined` lists and rows of short ones. Words and
whole items are hidden at random, so that what stands around them is learned too. The same seed and as many threads give the same file.
``--but`` leaves files of ``written`` out, to hold what comes of it against them; ``--from`` goes on from a network fitted before.
"""

from __future__ import annotations

import argparse
import math
import random
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import torch
from joined import joined
from made import Maker
from torch import nn
from torch.nn import functional
from written import WRITTEN, Song, songs

from stemwright.notes.gist.effects import WAYS, Effects
from stemwright.notes.gist.followed import FOLLOWED
from stemwright.notes.gist.looks import BUCKETS, WORDS, Looks, looks
from stemwright.notes.gist.network import KINDS
from stemwright.notes.gist.reading import items_of
from stemwright.notes.language import NO_TIMELINE
from stemwright.notes.placed import PlacedConversation
from stemwright.notes.targets import targets_of
from stemwright.recipes.words_library import load_vocabulary, words_dirs

BATCH = 64
HIDDEN = 0.06  # of all items; of all words
HIDDEN_WORDS = 0.03
HIDDEN_FOLLOWED = 0.15  # of all that was followed
SHOWN = 0.2  # of the stems that are neither named nor meant
FASTEST = 2e-3
FASTEST_AGAIN = 1e-3  # of a network that was fitted before
MADE = 2500  # plain notes beside those in written
JOINED = 4000  # lists and rows of short ones
VOCABULARY = load_vocabulary(words_dirs(None, []))
EFFECTS = Effects(VOCABULARY)


@dataclass
class Case:
    """A note with what is meant by it: ways (1 meant, 0 not, -1 by another reading), stems back, and each item's turn."""

    looks: Looks
    ways: np.ndarray
    back: np.ndarray
    turned: np.ndarray
    kind: int


def cases(every: list[Song]) -> list[Case]:
    """Return all notes on some songs."""
    found = []
    for song in every:
        targets = targets_of(song.stems)
        for note in song.notes:
            followed = PlacedConversation(targets, VOCABULARY, NO_TIMELINE).read(note.text)
            shown = looks(items_of(note.text, targets, VOCABULARY)[1], followed, targets, EFFECTS)
            ways = np.zeros((len(shown.stems), len(WAYS)), np.float32)
            back = np.zeros(len(shown.stems), np.float32)
            for number, reading in enumerate(note.readings):
                for stems, said in reading:
                    for stem in map(shown.stems.index, stems):
                        back[stem] = max(back[stem], not said)
                        for way in map(WAYS.index, said):
                            ways[stem, way] = 1.0 if not number else ways[stem, way] or -1.0
            turned = np.full((len(shown.stems), len(shown.qualities)), -1, np.int64)
            for at, word in enumerate(shown.qualities):
                for stem, name in enumerate(shown.stems):
                    turned[stem, at] = _turn(word, targets.role_of(name), ways[stem])
            found.append(Case(shown, ways, back, turned, KINDS.index(note.kind)))
    return found


def _turn(word, role_and_family, ways) -> int:
    """Return whether a word of sound is asked of a stem: 0 no, 1 more, 2 less, -1 where it cannot be told."""
    done = [EFFECTS.of(word, *role_and_family, more=more) if word else () for more in (True, False)]
    more, less = (any(ways[WAYS.index(way)] for way in each) for each in done)
    return -1 if not done[0] or (more and less) else 1 if more else 2 if less else 0


class Block(nn.Module):
    """One block, as `stemwright.notes.gist.network` has it."""

    def __init__(self, width: int, heads: int, far: int = 24) -> None:
        super().__init__()
        self.heads, self.far = heads, far
        self.n1, self.n2, self.n3 = (nn.LayerNorm(width) for _ in range(3))
        self.conv = nn.Conv1d(width, width, 5, padding=2, groups=width)
        self.pw, self.o = nn.Linear(width, width), nn.Linear(width, width)
        self.qkv = nn.Linear(width, 3 * width)
        self.rel = nn.Parameter(torch.zeros(heads, 2 * far + 1))
        self.f1, self.f2 = nn.Linear(width, 2 * width), nn.Linear(2 * width, width)

    def forward(self, seen, mask):
        """Add what is seen near, anywhere, and of both."""
        size, items, width = seen.shape
        near = self.n1(seen) * mask[:, :, None]
        seen = seen + self.pw(functional.gelu(self.conv(near.transpose(1, 2)).transpose(1, 2), approximate="tanh"))
        parts = self.qkv(self.n2(seen)).reshape(size, items, 3, self.heads, width // self.heads)
        ask, key, value = parts.permute(2, 0, 3, 1, 4)
        apart = (torch.arange(items)[None] - torch.arange(items)[:, None]).clamp(-self.far, self.far) + self.far
        look = ask @ key.transpose(-1, -2) / math.sqrt(width // self.heads) + self.rel[:, apart][None]
        look = look.masked_fill(~mask[:, None, None, :], -1e4).softmax(-1)
        seen = seen + self.o((look @ value).transpose(1, 2).reshape(seen.shape))
        return seen + self.f2(functional.gelu(self.f1(self.n3(seen)), approximate="tanh"))


class Network(nn.Module):
    """The network, with names that the shipped file has."""

    def __init__(self, shared: int, own: int, width: int = 96, blocks: int = 5, heads: int = 4) -> None:
        super().__init__()
        self.emb = nn.Embedding(BUCKETS + 1, width, padding_idx=BUCKETS)
        nn.init.normal_(self.emb.weight, std=0.1)
        with torch.no_grad():
            self.emb.weight[BUCKETS] = 0.0
        self.com, self.per = nn.Linear(shared, width), nn.Linear(own, width, bias=False)
        self.blocks = nn.ModuleList(Block(width, heads) for _ in range(blocks))
        self.n, self.drop = nn.LayerNorm(width), nn.Dropout(0.1)
        self.out, self.tok = nn.Linear(2 * width, len(WAYS) + 2 + len(KINDS)), nn.Linear(width, 3)

    def forward(self, words, shared, own, mask):
        """Return the answers for stems and for items, before they are made probabilities."""
        seen = self.drop(0.5 * self.emb(words).sum(2) + self.com(shared) + self.per(own))
        for block in self.blocks:
            seen = block(seen, mask)
        seen = self.n(seen)
        most = seen.masked_fill(~mask[:, :, None], -1e4).max(1).values
        return self.out(self.drop(torch.cat([seen[:, 0], most], 1))), self.tok(seen)


def start_from(network: Network, path: Path) -> None:
    """Take over the numbers of a network that was fitted before; what is shown since, and further blocks, do nothing at first."""
    with np.load(path) as file:
        before = {name: torch.from_numpy(file[name].astype(np.float32)) for name in file.files}
    now = network.state_dict()
    for name in now:
        if name not in before and name.split(".")[2] in ("pw", "o", "f2"):  # what a block adds
            now[name].zero_()
    for name, numbers in before.items():
        part = tuple(slice(size) for size in numbers.shape)
        if now[name].shape != numbers.shape:
            now[name].zero_()
        now[name][part] = numbers
    network.load_state_dict(now)


def batch(notes: list[Case], pairs: list[tuple[int, int]], dice: np.random.Generator) -> list[torch.Tensor]:
    """Return some cases side by side, with words hidden."""
    longest = max(len(notes[note].looks.words) for note, _ in pairs)
    first = notes[0].looks
    size = (len(pairs), longest)
    words = np.full((*size, WORDS), BUCKETS, np.int64)
    shared, own = (np.zeros((*size, each.shape[-1]), np.float32) for each in (first.shared, first.own))
    mask, turned = np.zeros(size, bool), np.full(size, -1, np.int64)
    wanted, counts = (np.zeros((len(pairs), len(WAYS) + 2), np.float32) for _ in range(2))
    kinds = np.zeros(len(pairs), np.int64)
    for row, (note, stem) in enumerate(pairs):
        case, seen = notes[note], notes[note].looks
        items = len(seen.words)
        said = seen.words.copy()
        said[dice.random(items) < HIDDEN] = BUCKETS
        said[dice.random(said.shape) < HIDDEN_WORDS] = BUCKETS
        words[row, :items], words[row, 0, :2] = said, seen.roles[stem]
        shared[row, :items], own[row, :items], mask[row, :items] = seen.shared, seen.own[stem], True
        if dice.random() < HIDDEN_FOLLOWED:
            own[row, 0, -FOLLOWED:] = 0.0
        turned[row, :items] = case.turned[stem]
        ways = case.ways[stem]
        wanted[row] = [*(ways > 0), (ways > 0).any(), case.back[stem]]
        counts[row] = [*(ways >= 0), 2.0, 2.0]
        kinds[row] = case.kind
    return [torch.from_numpy(each) for each in (words, shared, own, mask, wanted, counts, kinds, turned)]


def loss_of(network: Network, given: list[torch.Tensor]) -> torch.Tensor:
    """Return how far the answers are from what is meant."""
    *shown, wanted, counts, kinds, turned = given
    whole, each = network(*shown)
    ways = functional.binary_cross_entropy_with_logits(whole[:, : len(WAYS) + 2], wanted, reduction="none") * counts
    kind = functional.cross_entropy(whole[:, len(WAYS) + 2 :], kinds)
    turns = functional.cross_entropy(each.reshape(-1, 3), turned.reshape(-1), ignore_index=-1, reduction="sum") / len(kinds)
    return ways.sum(1).mean() + 0.3 * kind + turns


def shown_pairs(notes: list[Case]) -> list[list[tuple[int, int]]]:
    """Return the cases of one round in batches of about the same length, in random order."""
    pairs = [
        (number, stem)
        for number, case in enumerate(notes)
        for stem in range(len(case.looks.stems))
        if case.ways[stem].any()
        or case.back[stem]
        or (case.looks.own[stem, :, len(WAYS)] > 0).any()
        or random.random() < SHOWN
    ]
    pairs.sort(key=lambda pair: len(notes[pair[0]].looks.words) + 8.0 * random.random())
    batches = [pairs[at : at + BATCH] for at in range(0, len(pairs), BATCH)]
    random.shuffle(batches)
    return batches


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--to", type=Path, required=True)
    parser.add_argument("--rounds", type=int, default=14)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--from", dest="start", type=Path)
    parser.add_argument("--but", nargs="*", default=[])
    asked = parser.parse_args()
    random.seed(asked.seed)
    torch.manual_seed(asked.seed)
    torch.set_flush_denormal(True)  # moments of words that are not shown decay to where every sum is slow
    dice = np.random.default_rng(asked.seed)
    written = [song for path in sorted(WRITTEN.glob("*.txt")) if path.name not in asked.but for song in songs(path)]
    notes = cases([*written, *joined(written, JOINED, asked.seed), *Maker(VOCABULARY, EFFECTS, asked.seed).songs(MADE)])
    network = Network(notes[0].looks.shared.shape[-1], notes[0].looks.own.shape[-1])
    if asked.start:
        start_from(network, asked.start)
    rounds, fastest = len(shown_pairs(notes)), FASTEST_AGAIN if asked.start else FASTEST
    best = torch.optim.AdamW(network.parameters(), lr=fastest, weight_decay=0.03)
    pace = torch.optim.lr_scheduler.OneCycleLR(best, fastest, total_steps=round(1.1 * rounds * asked.rounds), pct_start=0.1)
    start = time.perf_counter()
    for number in range(asked.rounds):
        total, batches = 0.0, shown_pairs(notes)
        for pairs in batches:
            loss = loss_of(network, batch(notes, pairs, dice))
            best.zero_grad()
            loss.backward()
            torch.nn.utils.clip_grad_norm_(network.parameters(), 1.0)
            best.step()
            pace.step()
            total += loss.item()
        print(
            f"round {number + 1} of {asked.rounds}: {total / len(batches):.3f}, {time.perf_counter() - start:.0f} s",
            flush=True,
        )
        numbers = {name: each.numpy().astype(np.float16) for name, each in network.state_dict().items()}
        numbers["emb.weight"] = numbers["emb.weight"][:BUCKETS]
        np.savez_compressed(asked.to, **numbers)


if __name__ == "__main__":
    main()
