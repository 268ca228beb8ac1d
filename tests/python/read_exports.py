"""Opens the exports with the libraries their users have, and prints what it found as JSON."""
import json
import sys

import h5py
import mne
import numpy as np

edf_path, hdf5_path = sys.argv[1:3]

raw = mne.io.read_raw_edf(edf_path, preload=True, verbose="error")
with h5py.File(hdf5_path, "r") as f:
    hdf5 = {
        "rate_Hz": float(f.attrs["SamplingFrequency"]),
        "names": sorted(f.keys()),
        "unit": f["torque_Nm"].attrs["Units"],
        "index": f["sample_index"][:].tolist(),
        "marker_sample_index": f["marker_sample_index"][:].tolist(),
        "marker_text": [t.decode() for t in f["marker_text"][:]],
        "torque_Nm": [None if np.isnan(v) else v for v in f["torque_Nm"][:].tolist()],
    }
print(
    json.dumps(
        {
            "edf": {
                "rate_Hz": raw.info["sfreq"],
                "names": raw.ch_names,
                "startedAt": raw.info["meas_date"].isoformat(),
                "torque_Nm": raw.get_data()[0].tolist(),
                "annotations": [[a["onset"], a["description"]] for a in raw.annotations],
            },
            "hdf5": hdf5,
        }
    )
)
