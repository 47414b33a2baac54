"""Reads what `oar check` wrote in each form with outside readers, and compares it with the files that were checked.

Schemas: SARIF 2.1.0 of OASIS, the JUnit schema of Jenkins, our own one of `jsonl`. GitHub's workflow commands and
GitLab's Code Quality report are read by their documentation.
"""

import collections
import json
import pathlib
import re
import sys
import urllib.parse

import jsonschema
import junitparser
import lxml.etree

root, work = map(pathlib.Path, sys.argv[1:])


def load(path):
    return json.loads(path.read_text(encoding="utf-8"))


def text(name):
    return (work / name).read_text(encoding="utf-8")


def same(what, left, right):
    if left != right:
        sys.exit(f"{what}: {left!r} is not {right!r}")


def valid(validator, value, what):
    for error in validator.iter_errors(value):
        sys.exit(f"{what}: {error.json_path}: {error.message}")


def findings():
    schema = load(root / "schema/findings/v1/findings.schema.json")
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    lines = [json.loads(line) for line in text("jsonl").splitlines()]
    for number, line in enumerate(lines, 1):
        valid(validator, line, f"jsonl line {number}")
    run, *between, summary = lines
    found = [line for line in between if line["type"] == "finding"]
    unread = [line["file"] for line in between if line["type"] == "unreadable"]
    same("first and last line", [run["type"], summary["type"]], ["run", "summary"])
    partial = [line for line in between if line["type"] == "partial"]
    same("lines between", len(between), len(found) + len(unread) + len(partial))
    same("records in part", summary["records_in_part"], len(partial))
    same("rules not applied", summary["rules_not_applied"], sum(len(line["rules_not_applied"]) for line in partial))
    same("unreadable files", unread, ["in/damaged.oar.json.gz"])
    same("unreadable in the totals", summary["unreadable"], len(unread))
    for level in ("error", "warning", "note"):
        same(level, summary[level + "s"], sum(line["level"] == level for line in found))
    same("rules", summary["by_rule"], dict(collections.Counter(line["rule"] for line in found)))
    same("fingerprints", len({line["fingerprint"] for line in found}), len(found))
    return found, summary


def at(record, pointer):
    """The value at a JSON Pointer (RFC 6901), and its name or index."""
    step = None
    for step in pointer.split("/")[1:]:
        step = step.replace("~1", "/").replace("~0", "~")
        record = record[int(step)] if isinstance(record, list) else record[step]
    return record, step


def positions(found):
    """The text between the columns is the value at the pointer, or its name."""
    compared = 0
    for line in found:
        if line["theme"] == "file":
            continue
        content = (work / line["file"]).read_bytes().decode("utf-8-sig")
        lines = content.split("\n")
        several = line["file"].endswith(".jsonl")
        value, name = at(json.loads(lines[line["line"] - 1] if several else content), line["pointer"])
        same("end line", line["end_line"], line["line"])
        shown = lines[line["line"] - 1][line["column"] - 1 : line["end_column"] - 1]
        if isinstance(value, dict) and line["rule"] == "unknown_field":
            # A name that could be a person's is not in the pointer, which then ends at the object.
            right = json.loads(shown) in (name, *value)
        elif isinstance(value, (dict, list)):
            right = shown in ("{", "[") or json.loads(shown) == name
        else:
            right = json.loads(shown) in (value, name)
        if not right:
            sys.exit(f"{line['file']}:{line['line']}: {shown!r} is not what stands at {line['pointer']}")
        compared += 1
    if compared < 20:
        sys.exit(f"only {compared} positions were compared")


# What a service for code scanning needs of a SARIF file, by object: GitHub Docs, "SARIF support for code scanning", the properties that
# are marked as required, for which an empty string is not taken, and under them those that are recommended or that others show. Names
# in brackets are each entry of a list.
REQUIRED = """
$schema version runs[]
runs[].tool.driver runs[].results
runs[].tool.driver.name runs[].tool.driver.rules[]
runs[].tool.driver.rules[].id runs[].tool.driver.rules[].shortDescription.text runs[].tool.driver.rules[].fullDescription.text
runs[].tool.driver.rules[].help.text
runs[].results[].message.text runs[].results[].locations[] runs[].results[].partialFingerprints.primaryLocationLineHash
runs[].results[].locations[].physicalLocation.artifactLocation.uri
runs[].results[].locations[].physicalLocation.region.startLine runs[].results[].locations[].physicalLocation.region.startColumn
runs[].results[].locations[].physicalLocation.region.endLine runs[].results[].locations[].physicalLocation.region.endColumn
runs[].tool.driver.semanticVersion runs[].tool.driver.rules[].name runs[].tool.driver.rules[].defaultConfiguration.level
runs[].tool.driver.rules[].help.markdown runs[].tool.driver.rules[].helpUri runs[].tool.driver.rules[].properties.tags[]
runs[].tool.driver.rules[].properties.problem.severity
runs[].results[].ruleId runs[].results[].ruleIndex runs[].results[].level
""".split()


def members(value, path):
    """Everything at a path; what is missing is None."""
    if not path:
        yield value
        return
    name, _, rest = path.partition(".")
    if name.endswith("[]"):
        entries = value.get(name[:-2]) if isinstance(value, dict) else None
        for entry in entries or [None]:
            yield from members(entry, rest)
    elif name == "problem":
        yield value.get("problem.severity")
    else:
        yield from members(value.get(name) if isinstance(value, dict) else None, rest)


def ingested(log, what):
    for path in REQUIRED:
        for value in members(log, path):
            if value is None or value == "":
                sys.exit(f"{what}: {path} is missing or empty")
    for rule in log["runs"][0]["tool"]["driver"]["rules"]:
        for name in ("shortDescription", "fullDescription"):
            same(f"{what}: length of {name} of {rule['id']}", len(rule[name]["text"]) <= 1024, True)
        if rule["shortDescription"]["text"].replace("_", " ").rstrip(".") == rule["id"].replace("_", " "):
            sys.exit(f"{what}: the title of {rule['id']} is its id")
        same(f"{what}: tags of {rule['id']}", len(rule["properties"]["tags"]) <= 10, True)
    rules = log["runs"][0]["tool"]["driver"]["rules"]
    for result in log["runs"][0]["results"]:
        same(f"{what}: rule", rules[result["ruleIndex"]]["id"], result["ruleId"])


def sarif(found, summary):
    log = load(work / "sarif")
    for name in ("sarif", "accepted.sarif", "stale.sarif"):
        formats = jsonschema.FormatChecker(["uri", "uri-reference"])
        schema = load(root / "tests/references/sarif-schema-2.1.0.json")
        valid(jsonschema.Draft4Validator(schema, format_checker=formats), load(work / name), name)
        ingested(load(work / name), name)
    stale = [result["ruleId"] for result in load(work / "stale.sarif")["runs"][0]["results"]]
    same("rules about waivers", [stale.count(rule) for rule in ("waiver_expired", "waiver_without_finding")], [1, 1])
    (run,) = log["runs"]
    (invocation,) = run["invocations"]
    levels = [told["level"] for told in invocation["toolExecutionNotifications"]]
    same("sarif success", [invocation["executionSuccessful"], levels.count("error")], [False, 1])
    same("records in part", levels.count("note") + levels.count("warning"), summary["records_in_part"])
    rules = run["tool"]["driver"]["rules"]
    same("sarif results", len(run["results"]), len(found))
    for result, line in zip(run["results"], found):
        place = result["locations"][0]["physicalLocation"]
        same("sarif file", urllib.parse.unquote(place["artifactLocation"]["uri"], errors="strict"), line["file"])
        region = [place["region"][name] for name in ("startLine", "startColumn", "endLine", "endColumn")]
        same("sarif region", region, [line[name] for name in ("line", "column", "end_line", "end_column")])
        same("sarif rule", [result["ruleId"], rules[result["ruleIndex"]]["id"]], [line["rule"]] * 2)
        same("sarif level", result["level"], line["level"])
        same("sarif fingerprints", set(result["partialFingerprints"].values()), {line["fingerprint"]})


def junit(found, summary):
    schema = lxml.etree.XMLSchema(lxml.etree.parse(str(root / "tests/references/jenkins-junit.xsd")))
    schema.assertValid(lxml.etree.parse(str(work / "junit")))
    suites = list(junitparser.JUnitXml.fromfile(str(work / "junit")))
    told = {(suite.name, case.name): type(case.result[0]).__name__ if case.result else "passed"
            for suite in suites for case in suite}
    broken = {("in/damaged.oar.json.gz", "could not be read"): "Error"}
    for line in found:
        kind = "Error" if line["theme"] == "file" else "Failure"
        # What is found across records has a suite of its own.
        file = "across records" if line["elsewhere"] else line["file"]
        broken[file, line["rule"]] = "passed" if line["level"] == "note" else kind
    clean = [name for (name, case), result in told.items() if case == "nothing to report"]
    same("junit cases", {key: result for key, result in told.items() if key[0] not in clean}, broken)
    same("junit clean files", sorted(clean), sorted({suite.name for suite in suites} - {file for file, _ in broken}))
    for suite in suites:
        counted = collections.Counter(told[suite.name, case.name] for case in suite)
        same("junit counts", (suite.tests, suite.failures, suite.errors),
             (sum(counted.values()), counted["Failure"], counted["Error"]))


def github(found):
    """`::command name=value,…::text`, with `%`, CR and LF escaped, and `:` and `,` in values (actions/toolkit)."""
    grammar = re.compile(r"::(error|warning|notice) ((?:\w+=[^:,]*)(?:,\w+=[^:,]*)*)::(.+)")
    *commands, totals = text("github").splitlines()
    commands = [command for command in commands if not command.startswith("::error file=in/damaged.oar.json.gz,title=")]
    same("github commands", len(commands), len(found))
    for command, line in zip(commands, found):
        level, properties, _ = grammar.fullmatch(command).groups()
        if re.search(r"%(?!25|0D|0A|3A|2C)", command):
            sys.exit(f"github: another escape in {command}")
        properties = dict(pair.split("=", 1) for pair in properties.split(","))
        same("github level", level.replace("notice", "note"), line["level"])
        same("github file", urllib.parse.unquote(properties["file"]), line["file"])
        same("github place", [properties["line"], properties.get("col", str(line["column"]))],
             [str(line["line"]), str(line["column"])])
    if totals.startswith("::"):
        sys.exit("github: the last line is no line of totals")
    if not totals.endswith("; 1 path could not be read"):
        sys.exit(f"github: the last line does not count what could not be read: {totals}")


def gitlab(found):
    """An array of issues with these members (GitLab's documentation of Code Quality)."""
    issues = load(work / "gitlab")
    unread = [issue for issue in issues if issue["check_name"] == "unreadable"]
    same("gitlab unreadable", [(issue["location"]["path"], issue["severity"]) for issue in unread],
         [("in/damaged.oar.json.gz", "critical")])
    same("gitlab fingerprints", len({issue["fingerprint"] for issue in issues}), len(issues))
    issues = [issue for issue in issues if issue not in unread]
    same("gitlab issues", len(issues), len(found))
    for issue, line in zip(issues, found):
        same("gitlab members", sorted(issue), ["check_name", "description", "fingerprint", "location", "severity"])
        same("gitlab severity", issue["severity"], {"error": "major", "warning": "minor", "note": "info"}[line["level"]])
        same("gitlab path", issue["location"]["path"], line["file"])
        same("gitlab line", issue["location"]["lines"]["begin"], line["line"])
        same("gitlab fingerprint", issue["fingerprint"], line["fingerprint"])


def accepted():
    """What is waived or in the baseline: every line fits its schema, and SARIF has the same reasons."""
    def fits(file, schema):
        validator = jsonschema.Draft202012Validator(load(root / schema))
        told = [json.loads(line) for line in text(file).splitlines()]
        for line in told:
            valid(validator, line, file)
        return told

    lines = fits("accepted.jsonl", "schema/findings/v1/findings.schema.json")
    known = fits("baseline", "schema/baseline/v1/baseline.schema.json")
    held = [line for line in lines if line["type"] == "accepted"]
    waived = [line["accepted"]["reason"] for line in held if line["accepted"]["by"] == "waiver"]
    same("waived", waived, ["checked on <paper> & kept"])
    same("in the baseline", sum(line["count"] for line in known[1:]), len(held) - 1)
    log = load(work / "accepted.sarif")
    reasons = [result["suppressions"][0]["justification"] for result in log["runs"][0]["results"]]
    same("sarif reasons", reasons, [line["accepted"].get("reason", "in the baseline") for line in held])


def overview(summary):
    """The counts fit their schema, and add up to those of `jsonl`."""
    schema = load(root / "schema/overview/v1/overview.schema.json")
    jsonschema.Draft202012Validator.check_schema(schema)
    told = load(work / "overview.json")
    valid(jsonschema.Draft202012Validator(schema), told, "overview")
    for name in ("files", "unreadable", "records", "records_with_findings", "fixable"):
        same(f"overview {name}", told[name], summary[name])
    for level in ("errors", "warnings", "notes"):
        same(f"overview {level}", sum(row[level] for row in told["by_rule"]), summary[level])
    same("overview rules", {row["name"]: row["errors"] + row["warnings"] + row["notes"] for row in told["by_rule"]},
         summary["by_rule"])


def comparison():
    """Every line fits its schema; the reports differ by one finding each way."""
    schema = load(root / "schema/comparison/v1/comparison.schema.json")
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    lines = [json.loads(line) for line in text("comparison").splitlines()]
    for number, line in enumerate(lines, 1):
        valid(validator, line, f"comparison line {number}")
    same("comparison", [(line["type"], line.get("rule")) for line in lines],
         [("comparison", None), ("new", "worn_backwards"), ("gone", "more_than_a_day"), ("summary", None)])
    if validator.is_valid(lines[1] | {"type": "newer"}):
        sys.exit("comparison: the schema takes another type of line")


found, summary = findings()
overview(summary)
comparison()
accepted()
positions(found)
sarif(found, summary)
junit(found, summary)
github(found)
gitlab(found)
print(f"outputs: {len(found)} findings in {summary['files']} files read back from seven forms")
