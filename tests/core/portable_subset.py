"""What of Python the core may use: the part that MicroPython 1.27 has and that gives the same on both runtimes.

``problems_in(source, known)`` walks one file's syntax tree and gives (line, message) for each thing outside that part.
``known`` says what the phone's runtime has (see ``ASK_THE_RUNTIME``), so that no list here can go stale.

A loop over a dict or set is held to be in an order that shows, unless it goes into something that has none (sorted,
any, all, len, set, a dict) or its line ends with ``# in any order``.
"""

import ast
import re

MODULES = ("json", "math", "itertools", "functools", "heapq", "collections", "re")
TYPES = ("str", "bytes", "int", "float", "list", "tuple", "dict", "set", "frozenset")

# Prints, as JSON, the names that modules, types and builtins have on the runtime it runs on. Given: names to try.
ASK_THE_RUNTIME = """
import builtins, json
tried = json.loads(GIVEN)
known = {}
for name in tried["modules"]:
    module = __import__(name)
    known[name] = [n for n in tried["modules"][name] if hasattr(module, n)]
for name in tried["types"]:
    known[name] = [n for n in tried["types"][name] if hasattr(getattr(builtins, name), n)]
known["builtins"] = [n for n in tried["builtins"] if hasattr(builtins, n)]
print(json.dumps(known))
"""

_ORDERLESS = ("sorted", "any", "all", "len", "set", "frozenset", "dict")
_OWN_ORDER = "# in any order"
# Methods of built-in types that take keywords on both runtimes.
_TAKE_KEYWORDS = ("sort", "format", "update")


def problems_in(source: str, known: dict[str, set[str]]) -> list[tuple[int, str]]:
    """(line, message) for each thing in ``source`` that is not portable, in order of lines."""
    return sorted(set(_Reader(source, known).problems()))


class _Reader:
    def __init__(self, source, known):
        self.known = known
        self.lines = source.splitlines()
        self.tree = ast.parse(source)
        self.parents = {child: parent for parent in ast.walk(self.tree) for child in ast.iter_child_nodes(parent)}
        self.modules = _imported_modules(self.tree)
        self.own_names = _defined_names(self.tree)
        self.unordered = _unordered_names(self.tree)

    def problems(self):
        for node in ast.walk(self.tree):
            for look in (_syntax, self._import, self._name, self._attribute, self._call, _format, self._order):
                for message in look(node):
                    yield node.lineno, message

    def _import(self, node):
        if isinstance(node, ast.Import):
            for alias in node.names:
                if alias.name not in MODULES:
                    yield f"import {alias.name}: the core imports only its own modules and {', '.join(MODULES)}"
        if isinstance(node, ast.ImportFrom):
            if node.level > 1 or (node.level == 0 and node.module not in MODULES):
                yield f"from {'.' * node.level}{node.module or ''} import: the core imports nothing outside itself"
            elif node.level == 0:
                for alias in node.names:
                    if alias.name not in self.known[node.module]:
                        yield f"{node.module}.{alias.name} does not exist on MicroPython"

    def _name(self, node):
        missing = self.known["missing builtins"]
        if isinstance(node, ast.Name) and node.id in missing and node.id not in self.own_names:
            yield f"{node.id} does not exist on MicroPython"

    def _attribute(self, node):
        if not isinstance(node, ast.Attribute):
            return
        if isinstance(node.value, ast.Name) and node.value.id in self.modules:
            module = self.modules[node.value.id]
            if module in MODULES and node.attr not in self.known[module]:
                yield f"{module}.{node.attr} does not exist on MicroPython"
            if module == "re" and _beyond_its_patterns(self.parents[node]):
                yield "counts, \\b and groups with ? are read otherwise by MicroPython's re"
            if module == "json" and node.attr in ("dump", "dumps"):
                yield "json.dumps writes other bytes on MicroPython: use canonical.dumps"
        elif node.attr in self.known["missing methods"] and node.attr not in self.own_names:
            yield f".{node.attr} does not exist on MicroPython"
        elif node.attr in ("isdigit", "isalpha", "isspace") and isinstance(self.parents[node], ast.Call):
            yield f".{node.attr}() knows ASCII only on MicroPython: say which characters are meant, with 'in'"

    def _call(self, node):
        if not isinstance(node, ast.Call):
            return
        name = getattr(node.func, "id", None)
        if name == "zip" and node.keywords:
            yield "zip takes no keywords on MicroPython"
        if name == "round" and len(node.args) == 2:
            yield "round(x, n) takes other sides of halves on MicroPython: use canonical.fixed"
        if name in ("repr", "ascii"):
            yield f"{name} writes numbers and text otherwise on MicroPython"
        if isinstance(node.func, ast.Attribute) and node.keywords and node.func.attr not in _TAKE_KEYWORDS:
            of_type = node.func.attr in self.known["methods"] and node.func.attr not in self.own_names
            of_module = isinstance(node.func.value, ast.Name) and node.func.value.id in self.modules
            if of_type and not of_module:
                yield f".{node.func.attr} takes no keywords on MicroPython"

    def _order(self, node):
        if isinstance(node, ast.For):
            loops = [(node.iter, node)]
        elif isinstance(node, ast.ListComp | ast.GeneratorExp):
            loops = [(generator.iter, node) for generator in node.generators]
        elif isinstance(node, ast.Call) and getattr(node.func, "id", "") in (
            "list",
            "tuple",
            "enumerate",
            "sum",
            "iter",
        ):
            loops = [(argument, node) for argument in node.args[:1]]
        else:
            return
        for over, loop in loops:
            if self._is_unordered(over) and not self._order_is_lost(loop) and not self._excused(over, loop):
                yield (
                    "a loop over a dict or set has no order on MicroPython: loop over sorted(...), "
                    f"or end the line with '{_OWN_ORDER}' where none shows"
                )

    def _is_unordered(self, node):
        if isinstance(node, ast.Set | ast.SetComp | ast.Dict | ast.DictComp):
            return True
        if isinstance(node, ast.Call):
            function = node.func
            if isinstance(function, ast.Name):
                return function.id in ("set", "frozenset", "dict")
            return isinstance(function, ast.Attribute) and function.attr in ("items", "keys", "values")
        if isinstance(node, ast.BinOp) and isinstance(node.op, ast.BitOr | ast.BitAnd | ast.Sub | ast.BitXor):
            return self._is_unordered(node.left) or self._is_unordered(node.right)
        return (self._scope(node), ast.unparse(node)) in self.unordered

    def _scope(self, node):
        """The function in which a name is local; None for what belongs to the module or to self."""
        if not isinstance(node, ast.Name):
            return None
        while node in self.parents:
            node = self.parents[node]
            if isinstance(node, ast.FunctionDef):
                return node.name
        return None

    def _order_is_lost(self, node):
        parent = self.parents.get(node)
        return isinstance(parent, ast.Call) and getattr(parent.func, "id", "") in _ORDERLESS

    def _excused(self, over, loop):
        return any(self.lines[at.lineno - 1].rstrip().endswith(_OWN_ORDER) for at in (over, loop))


def _imported_modules(tree):
    """Name in this file -> module it stands for, "" for the core's own."""
    names = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.asname or alias.name: alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.level == 1 and not node.module:
            names |= {alias.asname or alias.name: "" for alias in node.names}
    return names


def _defined_names(tree):
    defined = {node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.ClassDef)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Store):
            defined.add(node.attr)
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            defined.add(node.id)
    return defined


def _unordered_names(tree):
    """(function or None, name) of everything that is given a dict or set where it is assigned."""
    found = set()

    def look(node, function):
        if isinstance(node, ast.FunctionDef):
            function = node.name
        if isinstance(node, ast.Assign):
            value = node.value
            made = isinstance(value, ast.Dict | ast.Set | ast.DictComp | ast.SetComp) or (
                isinstance(value, ast.Call) and getattr(value.func, "id", "") in ("dict", "set", "frozenset")
            )
            for target in node.targets:
                if made and isinstance(target, ast.Name):
                    found.add((function, target.id))
                elif made and isinstance(target, ast.Attribute):
                    found.add((None, ast.unparse(target)))
        for child in ast.iter_child_nodes(node):
            look(child, function)

    look(tree, None)
    return found


def _syntax(node):
    if isinstance(node, ast.Match):
        yield "match is not known to MicroPython: use if and elif"
    display = isinstance(node, ast.List | ast.Tuple | ast.Set) and isinstance(
        getattr(node, "ctx", ast.Load()), ast.Load
    )
    if display and any(isinstance(element, ast.Starred) for element in node.elts):
        yield "[*a, *b] is not known to MicroPython: use list(a) + list(b)"
    if isinstance(node, ast.Dict) and None in node.keys:
        yield "{**a, **b} is not known to MicroPython: use dict(a) and update"
    if isinstance(node, ast.FunctionDef | ast.Lambda) and node.args.posonlyargs:
        yield "positional-only parameters are not known to MicroPython"
    if isinstance(node, ast.Slice) and node.step is not None:
        yield "slices have no step on MicroPython: use reversed() or a loop"
    if isinstance(node, ast.AnnAssign | ast.FunctionDef) and _annotated(node):
        yield "types stand in docstrings here: typing does not exist on MicroPython"
    if isinstance(node, ast.AsyncFunctionDef | ast.TryStar):
        yield f"{type(node).__name__} is not for the core"


def _beyond_its_patterns(call):
    """Whether a call of re names a pattern that MicroPython reads otherwise."""
    pattern = call.args[0] if isinstance(call, ast.Call) and call.args else None
    text = pattern.value if isinstance(pattern, ast.Constant) and isinstance(pattern.value, str) else ""
    return bool(re.search(r"\{\d|\\b|\\B|\(\?", text))


def _annotated(node):
    if isinstance(node, ast.AnnAssign):
        return True
    arguments = node.args.args + node.args.kwonlyargs
    return node.returns is not None or any(argument.annotation for argument in arguments)


def _format(node):
    floats = r"%[-+ #0]*[\d*]*(?:\.[\d*]+)?[feg]"
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Mod) and isinstance(node.left, ast.Constant):
        text = node.left.value.replace("%%", "") if isinstance(node.left.value, str) else ""
        if re.search(floats, text):
            yield "%f and %g round otherwise on MicroPython: use canonical.fixed"
        if "%r" in text:
            yield "%r writes numbers and text otherwise on MicroPython: use %s"
    if isinstance(node, ast.FormattedValue):
        spec = ast.unparse(node.format_spec) if node.format_spec else ""
        if re.search("[feg%]", spec.removeprefix("f")) or node.conversion != -1:
            yield "this format writes otherwise on MicroPython: use canonical.fixed and %s"
