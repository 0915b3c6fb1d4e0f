"""What pyproject.toml cannot say: the compiled kernels are optional, and the house recipes move into the package.

``STEMWRIGHT_WITHOUT_KERNELS=1`` builds a wheel without them, for every platform; otherwise there is one for each platform.
"""

import os
import shutil
from importlib.machinery import EXTENSION_SUFFIXES
from pathlib import Path

from setuptools import Extension, setup
from setuptools.command.bdist_wheel import bdist_wheel
from setuptools.command.build_ext import build_ext
from setuptools.command.build_py import build_py

HERE = Path(__file__).parent
# No contraction to fused multiply-adds: the samples must be the same on every processor.
FLAGS = {"msvc": ["/O2", "/fp:precise"]}
OTHERS = ["-std=c99", "-O3", "-ffp-contract=off", "-fvisibility=hidden"]


class BuildKernels(build_ext):
    """Builds a plain shared object (it holds no Python module) with the flags of whichever compiler is there."""

    def build_extensions(self) -> None:
        """Choose the flags once the compiler is known."""
        for extension in self.extensions:
            extension.extra_compile_args = FLAGS.get(self.compiler.compiler_type, OTHERS)
        super().build_extensions()

    def get_ext_filename(self, fullname: str) -> str:
        """Return a name that every version of Python looks for: the file is bound to none of them."""
        return str(Path(*fullname.split("."))) + EXTENSION_SUFFIXES[-1]

    def get_export_symbols(self, ext: Extension) -> list[str]:
        """Return no symbols: the source marks its own, and there is no module to start."""
        return ext.export_symbols


class BuildPackage(build_py):
    """Copies ``recipes`` to ``stemwright/house`` in the wheel; an editable installation reads them where they are."""

    def run(self) -> None:
        """Build from nothing, then bring the recipes."""
        if self.editable_mode:
            super().run()
            return
        package = Path(self.build_lib) / "stemwright"
        # A folder left by an earlier build would bring back what has been removed since.
        shutil.rmtree(package, ignore_errors=True)
        super().run()
        house = package / "house"
        for recipe in sorted((HERE / "recipes").rglob("*.yaml")):
            target = house / recipe.relative_to(HERE / "recipes")
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(recipe, target)


class BuildWheel(bdist_wheel):
    """Tags the wheel for its platform alone: the kernels are called through ctypes, by any version of Python."""

    def get_tag(self) -> tuple[str, str, str]:
        """Return the tag without the interpreter's."""
        return ("py3", "none", super().get_tag()[2])


KERNELS = Extension("stemwright.native.kernels", ["src/stemwright/native/kernels.c"], optional=True)

setup(
    ext_modules=[] if os.environ.get("STEMWRIGHT_WITHOUT_KERNELS") else [KERNELS],
    cmdclass={"build_ext": BuildKernels, "build_py": BuildPackage, "bdist_wheel": BuildWheel},
)
