#!/usr/bin/python3
"""The exported plane as other programs read it: the ImageData file by VTK's own reader
where python3-vtk9 is installed, and by a strict parse always; both against the CSV file
of the same plane. Exits non-zero when anything differs.
"""
import base64
import csv
import os
import struct
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ET

import numpy as np

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))


def strict(path):
    root = ET.parse(path).getroot()
    assert root.tag == "VTKFile" and root.get("type") == "ImageData", root.attrib
    assert root.get("byte_order") == "LittleEndian" and root.get("header_type") == "UInt64", root.attrib
    image = root.find("ImageData")
    x0, x1, y0, y1, z0, z1 = map(int, image.get("WholeExtent").split())
    assert (x0, y0, z0, z1) == (0, 0, 0, 0) and image.find("Piece").get("Extent") == image.get("WholeExtent")
    origin = np.array(list(map(float, image.get("Origin").split())))
    spacing = np.array(list(map(float, image.get("Spacing").split())))
    assert (spacing > 0).all()
    n = (x1 + 1) * (y1 + 1)
    arrays = {}
    for a in image.find("Piece").find("PointData"):
        assert a.tag == "DataArray" and a.get("type") == "Float64" and a.get("format") == "binary", a.attrib
        raw = base64.b64decode(a.text, validate=True)
        (size,) = struct.unpack("<Q", raw[:8])
        components = int(a.get("NumberOfComponents"))
        assert size == len(raw) - 8 == 8 * n * components, (a.get("Name"), size, len(raw))
        arrays[a.get("Name")] = np.frombuffer(raw[8:], "<f8").reshape(n, components)
    k = np.arange(n)
    points = origin + spacing * np.stack([k % (x1 + 1), k // (x1 + 1), 0 * k], axis=1)
    return points, arrays


def with_vtk(path):
    from vtkmodules.util.numpy_support import vtk_to_numpy
    from vtkmodules.vtkIOXML import vtkXMLImageDataReader

    reader = vtkXMLImageDataReader()
    reader.SetFileName(path)
    reader.Update()
    image = reader.GetOutput()
    n = image.GetNumberOfPoints()
    points = np.array([image.GetPoint(k) for k in range(n)])
    data = image.GetPointData()
    return points, {data.GetArrayName(i): vtk_to_numpy(data.GetArray(i)).reshape(n, -1) for i in range(data.GetNumberOfArrays())}


def main():
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["go", "test", "-count=1", "-run", "^TestWriteVTI$", "./render"], cwd=ROOT, check=True,
                       env={**os.environ, "LODEGRID_EXPORT": folder}, stdout=subprocess.DEVNULL)
        with open(os.path.join(folder, "plane.csv"), encoding="utf-8") as f:
            rows = list(csv.DictReader(f))
        table = {k: np.array([float(r[k]) for r in rows]) for k in rows[0]}
        order = np.lexsort((table["x_m"].round(9), table["y_m"].round(9)))
        readers = [("strict parse", strict)]
        try:
            import vtkmodules.vtkIOXML  # noqa: F401
            readers.append(("VTK's reader", with_vtk))
        except ImportError:
            print("python3-vtk9 is not installed: strict parse alone")
        bad = False
        for name, reader in readers:
            points, arrays = reader(os.path.join(folder, "plane.vti"))
            apart = 0.0
            for k, column in enumerate(["x_m", "y_m", "z_m"]):
                apart = max(apart, float(np.abs(points[:, k] - table[column][order]).max()))
            exact = set(arrays) == {"B", "B_abs", "Pi"}
            for k, column in enumerate(["bx_t", "by_t", "bz_t"]):
                exact = exact and np.array_equal(arrays["B"][:, k], table[column][order])
            exact = exact and np.array_equal(arrays["B_abs"][:, 0], table["b_t"][order])
            exact = exact and np.array_equal(arrays["Pi"][:, 0], table["pi_pa"][order])
            print(f"{name}: {len(points)} points, places within {apart:.1e} m of the CSV file (allowed 1e-12), values equal: {exact}")
            bad = bad or not exact or not apart <= 1e-12
    sys.exit(1 if bad else 0)


if __name__ == "__main__":
    main()
