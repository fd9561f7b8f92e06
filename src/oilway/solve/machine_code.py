"""LLVM's language to machine code in memory, and machine code kept on disk, so that nothing is compiled twice."""

from __future__ import annotations

import contextlib
import hashlib
import os
import sys
import threading
from pathlib import Path
from typing import Any


def engine(text: str) -> Any:
    """Machine code in memory, from disk where it was compiled before: ask it for ``get_function_address``.

    The functions in it live as long as the engine does.
    """
    import llvmlite
    from llvmlite import binding

    binding.initialize_native_target()
    binding.initialize_native_asmprinter()
    host, features = binding.get_host_cpu_name(), binding.get_host_cpu_features().flatten()
    machine = binding.Target.from_default_triple().create_target_machine(
        cpu=host, features=features, opt=2, jit=True
    )
    known = "\n".join((text, llvmlite.__version__, host, features, sys.platform))
    kept = cache_folder() / f"{hashlib.sha256(known.encode()).hexdigest()[:32]}.o"
    if kept.is_file():
        code = kept.read_bytes()
    else:
        code = _compile(text, machine)
        _keep(kept, code)
    made = binding.create_mcjit_compiler(binding.parse_assembly(""), machine)
    made.add_object_file(binding.object_file.ObjectFileRef.from_data(code))
    made.finalize_object()
    return made


def _compile(text: str, machine: Any) -> bytes:
    from llvmlite import binding

    module = binding.parse_assembly(text)
    module.verify()
    tuning = binding.create_pipeline_tuning_options(speed_level=2)
    passes = binding.create_pass_builder(machine, tuning)
    passes.getModulePassManager().run(module, passes)
    return bytes(machine.emit_object(module))


def _keep(path: Path, code: bytes) -> None:
    """Keep machine code on disk; another process may do the same at the same time."""
    beside = path.with_suffix(f".{os.getpid()}-{threading.get_ident()}")
    # A folder that cannot be written costs time, no result.
    with contextlib.suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        beside.write_bytes(code)
        beside.replace(path)


def cache_folder() -> Path:
    """Where compiled code is kept: the user's cache, or ``OILWAY_CACHE``."""
    if given := os.environ.get("OILWAY_CACHE"):
        return Path(given)
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    else:
        base = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    return base / "oilway"
