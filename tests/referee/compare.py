"""Compare a run summary of the program with a referee result.

    python compare.py summary.json referee.json [--limit 0.01]

Exit code 1 when velocity change, peak force, release time, crush or what was found on site differ by more than the limit, 2 when a
quantity is missing on one side only. Keys are searched in the summary from the outside in.
"""

import argparse
import json
import sys

JUDGED = ("velocity_change_at_release_mps", "velocity_change_at_contact_end_mps", "peak_force_n",
          "release_time_s", "peak_crush_m")
SHOWN = ("velocity_change_at_end_mps", "contact_end_time_s", "peak_force_time_s", "dent_m", "foot_moment_ratio",
         "contact_moment_ratio", "tension_rise", "end_time_s")
# Where the program's summary keeps a quantity under another name.
PLACES = {"velocity_change_at_release_mps": ("velocity_change", "at_release_mps"),
          "velocity_change_at_contact_end_mps": ("velocity_change", "at_contact_end_mps"),
          "velocity_change_at_end_mps": ("velocity_change", "at_engagement_end_mps"),
          "release_time_s": ("times", "release_s"), "contact_end_time_s": ("times", "contact_end_s"),
          "end_time_s": ("times", "engagement_end_s"), "tension_rise": ("joint", "tension_rise_fraction")}
# What was found on site: the summary's place and the referee's; judged where either side has it, an energy where it
# reaches the given part of the vehicle's at first touch.
LEAST_ENERGY = 1e-3
FOUND = {"fold_angle_rad": (("fold", "angle_rad"), ("fold_end_rad",)),
         "kink_angle_rad": (("kink", "angle_rad"), ("kink_end_rad",)),
         "fold_j": (("energy", "fold_j"), ("found_j", "fold")),
         "grout_j": (("energy", "grout_j"), ("found_j", "grout")),
         "bars_j": (("energy", "bars_j"), ("found_j", "bars")),
         "mating_j": (("energy", "mating_j"), ("found_j", "mating")),
         "dishing_j": (("energy", "dishing_j"), ("found_j", "dish")),
         "lumps_j": (("energy", "lumps_j"), ("found_j", "lump")),
         "rust_j": (("energy", "rust_j"), ("found_j", "rust")),
         "soil_j": (("energy", "soil_j"), ("found_j", "soil")),
         "soil_peak_n": (("joint", "soil_peak_n"), ("soil_peak_n",)),
         "foundation_peak_m": (("joint", "foundation_peak_m"), ("foundation_peak_m",))}
ABSENT = object()


def find(tree, key):
    """Value at the key's known place, else of the shallowest entry called `key`."""
    block, name = PLACES.get(key, (None, None))
    if isinstance(tree.get(block), dict) and name in tree[block]:
        return tree[block][name]
    level = [tree]
    while level:
        for node in level:
            if isinstance(node, dict) and key in node:
                return node[key]
        level = [child for node in level if isinstance(node, (dict, list))
                 for child in (node.values() if isinstance(node, dict) else node)]
    return ABSENT


def at(tree, path):
    """Value at the path, or ABSENT."""
    for name in path:
        if not isinstance(tree, dict) or name not in tree:
            return ABSENT
        tree = tree[name]
    return tree


def bolt_times(tree):
    """Release time of each bolt, in order of number."""
    times = find(tree, "bolt_release_times_s")
    if times is not ABSENT:
        return times
    bolts = find(tree, "bolts")
    return ABSENT if bolts is ABSENT else [b.get("release_time_s") for b in bolts]


def rows(summary, referee):
    """Rows (name, program, referee, relative difference or None, judged)."""
    out = []
    for key in JUDGED + SHOWN:
        out.append((key, find(summary, key), find(referee, key), key in JUDGED))
    ours, theirs = bolt_times(summary), bolt_times(referee)
    if ours is not ABSENT and theirs is not ABSENT and len(ours) == len(theirs):
        out += [(f"bolt {i + 1} release_time_s", a, b, True) for i, (a, b) in enumerate(zip(ours, theirs))]
    for key, places in FOUND.items():
        pair = [at(tree, place) for tree, place in zip((summary, referee), places)]
        start = at(summary, ("energy", "initial_kinetic_j"))
        least = LEAST_ENERGY * start if key.endswith("_j") and start is not ABSENT else 0.0
        if any(value is not ABSENT and abs(value) > least for value in pair):
            out.append((key, *pair, True))
    return out


def judge(summary, referee, limit=0.01, bands=None):
    """Lines of the table and the exit code; `bands` gives single quantities a limit of their own."""
    bands = bands or {}
    lines, code = [f"{'quantity':38}{'program':>16}{'referee':>16}{'difference':>12}"], 0
    for name, a, b, judged in rows(summary, referee):
        if a is ABSENT or b is ABSENT or (a is None) != (b is None):
            note = "missing"
            if judged:
                code = max(code, 2)
        elif a is None:
            note = "both none"
        else:
            difference = (a - b) / abs(b) if b else (0.0 if a == 0.0 else float("inf"))
            note = f"{100.0 * difference:+.3f} %"
            if judged and not abs(difference) <= bands.get(name, limit):
                code, note = max(code, 1), note + " *"
        shown = ["-" if v is ABSENT or v is None else f"{v:.7g}" for v in (a, b)]
        lines.append(f"{name:38}{shown[0]:>16}{shown[1]:>16}{note:>12}")
    return lines, code


def main():
    """Command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("summary")
    parser.add_argument("referee")
    parser.add_argument("--limit", type=float, default=0.01)
    args = parser.parse_args()
    with open(args.summary, encoding="utf-8") as a, open(args.referee, encoding="utf-8") as b:
        lines, code = judge(json.load(a), json.load(b), args.limit)
    print("\n".join(lines))
    sys.exit(code)


if __name__ == "__main__":
    main()
