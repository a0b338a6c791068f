"""The exact search against plain enumeration of every path, form and setting, with rules written down anew here."""

import itertools
import random

from seatfield.stages.chain import plan

# IEC 61937 repetition periods as frame rates for 48 kHz sound; core and extension by ETSI TS 102 366, 103 420, 102 114.
FRAMES = {"AC-3": 48, "DTS": 48, "E-AC-3": 192, "E-AC-3 with objects": 192}
FRAMES |= {"MLP": 768, "MLP with objects": 768, "DTS lossless": 768}
CORE = {"E-AC-3 with objects": "E-AC-3", "MLP with objects": "MLP", "DTS lossless": "DTS"}
CHANNELS = {
    "AC-3": 6,
    "DTS": 6,
    "E-AC-3": 6,
    "E-AC-3 with objects": 6,
    "MLP": 8,
    "MLP with objects": 8,
    "DTS lossless": 8,
}
LOSSLESS = {"LPCM", "MLP", "MLP with objects", "DTS lossless"}
PEAK = {
    "LPCM": 1e9,
    "AC-3": 640,
    "DTS": 1536,
    "E-AC-3": 6144,
    "E-AC-3 with objects": 6144,
    "DTS lossless": 24500,
}
PEAK |= {"MLP": 18000, "MLP with objects": 18000}
PAIRS = {"hdmi": 4, "enhanced return": 4, "return": 1, "optical": 1, "coaxial": 1}
RATES = {"hdmi": 192, "enhanced return": 192, "return": 192, "optical": 96, "coaxial": 96}
CODED = tuple(FRAMES)


def random_chain(pick, build, most_devices=5):
    names = [f"d{k}" for k in range(pick.randint(2, most_devices))]
    devices = []
    for name in names:
        passes = tuple(pick.sample(CODED, pick.randint(0, 5)))
        lpcm = pick.choice(("LPCM 2", "LPCM 6", "LPCM 8"))
        decodes = (lpcm, *pick.sample(CODED, pick.randint(0, 3)))
        converts = (("E-AC-3", "AC-3"),) if pick.random() < 0.3 else ()
        settings = []
        if pick.random() < 0.5:
            gated = tuple(pick.sample((*CODED, "LPCM 8"), 3))
            settings.append(("output", ("a", "b"), (("a", gated[:2]), ("b", gated[1:]))))
        devices.append((name, passes, decodes, converts, tuple(settings)))
    ends = [*names, "receiver"]
    links = []
    for source, target in itertools.permutations(ends, 2):
        if source != "receiver" and pick.random() < 0.45:
            links.append((source, target, pick.choice(tuple(PAIRS)), pick.choice((None, None, 48, 192))))
    amplifier = ("LPCM 8", *pick.sample(CODED, pick.randint(1, 6)))
    offers = tuple(pick.sample((*CODED, "LPCM 2", "LPCM 8"), pick.randint(1, 3)))
    return devices, links, amplifier, offers


def as_project(build, chain):
    from seatfield.model import Setting

    devices, links, amplifier, offers = chain
    made = [
        build.device(
            name, passes, decodes, converts=converts, settings=tuple(Setting(*entry) for entry in settings)
        )
        for name, passes, decodes, converts, settings in devices
    ]
    wires = [build.link(f"{a}.out", f"{b}.in", kind, rate and rate * 1000.0) for a, b, kind, rate in links]
    services = [("service", (made[0].name,), offers)]
    return build.house(made, wires, services, [build.receiver(decodes=amplifier)])


def taken(listed, *, decoder):
    found = set()
    also = CORE | ({"E-AC-3": "AC-3"} if decoder else {})
    for listed_name in listed:
        name = listed_name
        while name and not name.startswith("LPCM"):
            found.add(name)
            name = also.get(name, "")
    return found


def shapes(name, channels, faithful):
    while name:
        yield name, channels, faithful
        name = CORE.get(name, "")
        channels = min(channels, 6) if name == "DTS" else channels
        faithful = faithful and name in LOSSLESS


def sent(device, sound):
    """Every sound that a device can send, with 1 for a conversion."""
    _, passes, decodes, converts, _ = device
    name, channels, faithful = sound
    lpcm = next(int(text.split()[1]) for text in decodes if text.startswith("LPCM"))

    def folded(count, kept):
        return ("LPCM", min(count, lpcm), kept and count <= lpcm)

    found = []
    if name == "LPCM":
        out = folded(channels, faithful)
        found.append((out, int(out != sound)))
    else:
        found += [(shape, 0) for shape in shapes(*sound) if shape[0] in taken(passes, decoder=False)]
        understood = [shape for shape in shapes(*sound) if shape[0] in taken(decodes, decoder=True)]
        if understood:
            _, count, kept = understood[0]
            found.append((folded(count, kept), 1))
        if converts and any(shape[0] == "E-AC-3" for shape in shapes(*sound)):
            found.append((("AC-3", min(channels, 6), False), 1))
    return found


def allowed(settings, values, sound):
    """Whether the chosen values let a sound out: what some value of a setting names needs a value that names it."""
    name, channels, _ = sound
    for (_, _, only), value in zip(settings, values, strict=True):

        def names(texts):
            return any(t == name or (t == "LPCM 8" and name == "LPCM" and channels > 2) for t in texts)

        if any(names(texts) for _, texts in only) and not names(dict(only).get(value, ())):
            return False
    return True


def carried(kind, rate, sound):
    name, channels, faithful = sound
    frames = rate or RATES[kind]
    if name == "LPCM":
        kept = min(channels, 2 if PAIRS[kind] == 1 else 8 * frames // 48)
        return (name, kept, faithful and kept == channels)
    most = frames if FRAMES[name] <= 192 else frames * PAIRS[kind]
    return sound if FRAMES[name] <= most else None


def heard(amplifier, sound):
    if sound[0] == "LPCM":
        return sound
    return next((shape for shape in shapes(*sound) if shape[0] in taken(amplifier, decoder=True)), None)


def value(sound, conversions, links):
    name, channels, faithful = sound
    return ("objects" in name, channels, faithful, -conversions, PEAK[name], -links)


def brute_force(chain):  # noqa: C901 - one recursion, left whole so that it can be read against the rules
    devices, links, amplifier, offers = chain
    by_name = {device[0]: device for device in devices}
    best = None

    def go(name, sound, conversions, passed):
        nonlocal best
        if name == "receiver":
            end = heard(amplifier, sound)
            if end:
                found = value(end, conversions, len(passed) - 1)
                best = found if best is None else max(best, found)
            return
        device = by_name[name]
        for source, target, kind, rate in links:
            if source != name or target in passed:
                continue
            for values in itertools.product(*(setting[1] for setting in device[4])):
                for out, changed in sent(device, sound):
                    if allowed(device[4], values, out):
                        arrives = carried(kind, rate, out)
                        if arrives:
                            more = int(changed or arrives != out)
                            go(target, arrives, conversions + more, (*passed, target))

    for text in offers:
        name, channels = ("LPCM", int(text.split()[1])) if text.startswith("LPCM") else (text, CHANNELS[text])
        go(devices[0][0], (name, channels, name in LOSSLESS), 0, (devices[0][0],))
    return best


def test_the_best_path_equals_brute_force_on_a_thousand_random_chains(build):
    pick = random.Random(6)
    arrived = 0
    for number in range(1_000):
        chain = random_chain(pick, build)
        expected = brute_force(chain)
        (found,) = plan(as_project(build, chain)).services
        if expected is None:
            assert found.format == "", number
            continue
        arrived += 1
        assert (found.objects, found.channels, found.lossless) == expected[:3], number
        assert (PEAK[found.format], -len(found.links)) == expected[4:], number
    assert (
        400 < arrived < 1_000
    )  # the comparison has something to compare, and something that fails to arrive


def test_the_reported_path_carries_what_is_reported(build):
    pick = random.Random(7)
    for _ in range(200):
        chain = random_chain(pick, build)
        (found,) = plan(as_project(build, chain)).services
        assert len(set(found.path)) == len(found.path)
        assert bool(found.losses) or found.format != ""
