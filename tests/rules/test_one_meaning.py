"""A name has one meaning: no two public classes, type names, modules or packages of generator/ share one."""

import ast
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path, PurePosixPath

ROOT = Path(__file__).parents[2]


def classes_of(text: str) -> Iterator[str]:
    """Yield the public classes and type names that a module defines: `Loc = tuple[str | int, ...]`."""
    for node in ast.parse(text).body:
        if isinstance(node, ast.ClassDef):
            names = [node.name]
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            names = [target.id for target in targets if isinstance(target, ast.Name)]
        else:
            continue
        yield from (name for name in names if name[0].isupper() and not name.isupper())


def shared(modules: Mapping[str, str]) -> dict[str, list[str]]:
    """Return each name that is in more than one module, with the modules."""
    found: dict[str, list[str]] = defaultdict(list)
    for path, text in modules.items():
        for name in classes_of(text):
            found[name].append(path)
    return {name: paths for name, paths in found.items() if len(paths) > 1}


def test_no_two_classes_share_a_name():
    modules = {
        str(path.relative_to(ROOT)): path.read_text(encoding="utf-8")
        for path in sorted((ROOT / "generator").rglob("*.py"))
    }
    assert sum(len(list(classes_of(text))) for text in modules.values()) > 300
    assert shared(modules) == {}


def alike(paths: Iterable[str]) -> dict[str, list[str]]:
    """Return each name that two modules or packages have, with their paths. A package is where its `__init__.py` is."""
    found: dict[str, list[str]] = defaultdict(list)
    for path in map(PurePosixPath, paths):
        found[path.parent.name if path.name == "__init__.py" else path.stem].append(str(path))
    return {name: some for name, some in found.items() if len(some) > 1}


def test_no_two_modules_share_a_name():
    paths = [str(path.relative_to(ROOT)) for path in sorted((ROOT / "generator").rglob("*.py"))]
    assert len(paths) > 100
    assert alike(paths) == {}


def test_a_module_like_another_or_like_a_package_is_seen():
    paths = ["g/__init__.py", "g/a/__init__.py", "g/a/one.py", "g/b/__init__.py", "g/b/a.py", "g/b/one.py"]
    assert alike(paths) == {"a": ["g/a/__init__.py", "g/b/a.py"], "one": ["g/a/one.py", "g/b/one.py"]}


def test_a_name_in_two_modules_is_seen():
    two = {"a.py": "class Step:\n    pass\n", "b.py": "Step = dict[str, object]\n_Step = LIMIT = 1\n"}
    assert shared(two) == {"Step": ["a.py", "b.py"]}
    assert shared({"a.py": two["a.py"], "b.py": "class _Step:\n    pass\nSTEP = 1\n"}) == {}
