"""Takes in free field, made of nothing but published filters, so that the right answer is known to the microsecond."""

from types import SimpleNamespace

import numpy as np
import pytest
from scipy import signal

from seatfield.dsp.arrival import Arrival
from seatfield.dsp.impulse import ImpulseResponse
from seatfield.model import TakeState
from seatfield.stages import layout, survey, terminals
from seatfield.stages.takes import ChannelTaken, Heard, Spot, Takes, known_of

RATE_HZ = 48000
KIT = """
[[amplifier]]
name = "receiver"
at = [1.0, 0.4, 0.4]
channels = 7
processed = 7
sub_outputs = 1
[amplifier.settings]
distance_step = {step}
distance_max = 12
trim_step = 0.5
trim_range = [-12, 12]
crossovers = [40, 60, 80, 100, 120]
speed_of_sound = 343
high_pass_order = {high}
low_pass_order = {low}
eq_bands = {bands}
[[model]]
name = "box"
sensitivity = 87
low_corner = {corner}
enclosure = "vented"
[[model]]
name = "sub"
kind = "subwoofer"
enclosure = "sealed"
low_corner = 20
[[loudspeaker]]
channel = "M+030"
model = "box"
at = [3.7, 0.7, 1.05]
[[loudspeaker]]
channel = "M-030"
model = "box"
at = [1.4, 0.75, 1.0]
[[loudspeaker]]
channel = "M+000"
model = "box"
at = [2.5, 0.45, 0.9]
[[subwoofer]]
name = "sub"
model = "sub"
at = [0.4, 0.6, 0.2]
"""


def path(delay_s, gain_db=0.0, sections=None, sign=1.0, count=96000):
    """A pulse between samples through filters, at a moment and a level."""
    freq_hz = np.fft.rfftfreq(count, 1 / RATE_HZ)
    spectrum = sign * 10 ** (gain_db / 20) * np.exp(-2j * np.pi * freq_hz * (delay_s + 0.1))
    if sections is not None:
        spectrum = spectrum * signal.sosfreqz(sections, freq_hz, fs=RATE_HZ)[1]
    return ImpulseResponse(np.fft.irfft(spectrum, count), RATE_HZ, -0.1)


def lfe_sections():
    """The low-frequency channel's limit in an amplifier: Linkwitz-Riley of fourth order at 120 Hz."""
    once = signal.butter(2, 120, "low", fs=RATE_HZ, output="sos")
    return np.vstack([once, once])


@pytest.fixture
def bench(plain_room):
    """A project with three fronts and a subwoofer, and takes of them as asked."""

    def project(**chosen):
        values = {"step": 0.01, "high": 2, "low": 4, "bands": 0, "corner": 50} | chosen
        return plain_room(KIT.format(**values), layout="3.1")

    def heard(run, channel, response, *, arrival_s, level_db=None):
        low = channel.startswith("LFE")
        told = ChannelTaken(channel, run, level_db=level_db, arrival_ms=1e3 * arrival_s)
        return Heard(run, channel, response, Arrival(arrival_s, "", 40.0, arrival_s), told, low)

    def spot(made, mains, sub=None, seat="middle", position=None, state=TakeState.BARE):
        """`mains`: run → (arrival [s], level [dB], extra response); `sub`: response."""
        all_heard = [
            heard(run, run, response or path(time, level), arrival_s=time, level_db=level)
            for run, (time, level, response) in mains.items()
        ]
        if sub is not None:
            all_heard.append(heard("sub", "LFE1", sub, arrival_s=0.02))
        place = position or made.main_seat.head
        return Spot(place, seat, state, "", tuple(all_heard), ())

    def planned(made):
        surveyed = survey.plan(made)
        laid_out = layout.plan(made, surveyed)
        return SimpleNamespace(
            survey=surveyed,
            layout=laid_out,
            terminals=terminals.plan(made, laid_out),
            known=known_of(made, laid_out),
        )

    def takes(*spots):
        return Takes((), tuple(spots), ())

    return SimpleNamespace(
        project=project,
        spot=spot,
        planned=planned,
        takes=takes,
        path=path,
        lfe=lfe_sections,
        rate_hz=RATE_HZ,
        heard=heard,
    )
