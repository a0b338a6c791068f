"""Cut the binaural responses of room A out of the published SOFA file; needs h5py and the file's path."""

import sys
from pathlib import Path

import h5py
import numpy as np

HERE = Path(__file__).parent


def main(sofa: str) -> None:
    with h5py.File(sofa) as file:
        responses = file["Data.IR"][:]
        azimuth_deg = file["SourcePosition"][:, 0]
        rate_hz = float(file["Data.SamplingRate"][0])
    scale = np.max(np.abs(responses)) / 32767.0
    early = np.round(responses[:, :, : int(0.05 * rate_hz)] / scale).astype(np.int16)
    front = np.round(responses[len(responses) // 2] / scale).astype(np.int16)
    np.savez_compressed(
        HERE / "surrey_room_a.npz", early=early, front=front, azimuth_deg=azimuth_deg, rate_hz=rate_hz
    )


if __name__ == "__main__":
    main(sys.argv[1])
