"""The wheel carries the demo's records and the review notebook as data of the package, from the top folders where they stand."""

from setuptools import find_namespace_packages, setup

CARRIED = {"maintkit.data_demo": "data_demo", "maintkit.notebooks": "notebooks"}

setup(packages=[*find_namespace_packages(include=["maintkit*"]), *CARRIED], package_dir=CARRIED)
