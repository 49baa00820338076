# ---
# jupyter:
#   jupytext:
#     text_representation:
#       extension: .py
#       format_name: percent
#   kernelspec:
#     display_name: Python 3
#     language: python
#     name: python3
# ---

# %% [markdown]
# # Kirtle behind a form
#
# A sewing room takes orders through a form on its website: four measurements and the ease. A small service behind the form answers
# with a draft, or with the problems of the input. This notebook builds the service, from a JSON request to a JSON result.

# %%
import json

import kirtle

# %% [markdown]
# ## A request and its result
#
# A request is one JSON document. The request names its unit, and every length in request and result is in this unit.

# %%
order = {
    "unit": "cm",
    "body": {"waist": 74, "hip": 101, "hip_depth": 20.5, "length": 62},
    "ease": {"waist": 1.5, "hip": 5},
}
result = json.loads(kirtle.draft_json(json.dumps(order)))
list(result)

# %% [markdown]
# A cutter first asks for the suppression of half the garment, its shares, and the darts.

# %%
print(json.dumps(result["suppression"], indent=2))
for half in ("back", "front"):
    for dart in result[half]["darts"]:
        print(f"{half} dart: {dart['intake']:.1f} cm wide, {dart['length']:.1f} cm long")

# %% [markdown]
# The outline is a list of edges. Each edge has a role and its points: two for a straight line, four for a cubic Bézier curve. A
# program needs nothing else to draw the outline.

# %%
for edge in result["back"]["edges"]:
    print(f"{edge['role']:<7}{len(edge['points'])} points, {edge['length']:5.1f} cm long")

# %% [markdown]
# `Draft.from_json` accepts the same request. A notebook displays a `Draft` as a drawing. For a web page, `draft.svg(fit=True)` returns
# a drawing that fills its container.

# %%
draft = kirtle.Draft.from_json(json.dumps(order))
draft

# %% [markdown]
# ## A form from the schema
#
# `kirtle.schema` returns a JSON Schema 2020-12. The form reads its fields from the schema, so no limit is written twice.

# %%
schema = kirtle.schema("request")
for part in ("Body", "Ease"):
    ranges = schema["else"]["properties"][part.lower()]["properties"]  # In centimetres; "then" has those in inches.
    for name, field in schema["$defs"][part]["properties"].items():
        print(f"{part}.{name:<10}{ranges[name]['minimum']:>6g} to {ranges[name]['maximum']:<5g} {field['description']}")

# %% [markdown]
# ## All problems at once
#
# A customer types the waist in inches, forgets the length, and writes the hip as text. The error lists every problem, so the form
# can mark all three fields after one try.

# %%
invalid = {"unit": "cm", "body": {"waist": 29, "hip": "101", "hip_depth": 20.5}, "ease": {"waist": 1.5, "hip": 5}}
try:
    kirtle.draft_json(json.dumps(invalid))
except kirtle.InputError as error:
    for problem in error.problems:
        print(f"{problem.field:<14}{problem.code:<14}{problem.message}")

# %% [markdown]
# Each problem has field, value, limit and unit as separate attributes, so a form in another language can write its own message.
#
# Some numbers are invalid only together. Every number below is within its range, but the hem would be above the hip line.

# %%
short = order | {"body": {"waist": 74, "hip": 101, "hip_depth": 20.5, "length": 18}}
try:
    kirtle.draft_json(json.dumps(short))
except kirtle.InputError as error:
    print(error.to_json())

# %% [markdown]
# ## The service
#
# The function below returns status and body for any web framework. The body of an error follows `kirtle.schema("error")`.


# %%
def respond(request: str) -> tuple[int, str]:
    """Return the HTTP status and the JSON body of the response to a request."""
    try:
        return 200, kirtle.draft_json(request)
    except kirtle.InputError as error:
        return 422, error.to_json()


for request in (json.dumps(order), json.dumps(invalid), "waist=74"):
    status, document = respond(request)
    print(status, document[:90], "…")

# %% [markdown]
# ## With the pattern and the lay
#
# If the request has `cutting` and `cloth`, the result has the pattern, ready to cut, and the length of cloth to buy.

# %%
full = order | {
    "cutting": {"preset": "garment", "name": "Order 17"},
    "cloth": {"width": 140, "folded": True},
}
result = json.loads(kirtle.draft_json(json.dumps(full)))
print("allowances:", result["pattern"]["allowances"])
print("buy", result["lay"]["to_buy_cm"], "cm of cloth")

# %% [markdown]
# A result describes geometry, not fit: make a trial garment first.
