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
# A sewing room takes orders through a form on its site: four measurements and the ease. Behind the form a small service
# is to answer with a draft, or say what is wrong. This notebook builds that service, from JSON in to JSON out.

# %%
import json

import kirtle

# %% [markdown]
# ## A request and its result
#
# A request is one JSON document. It names its unit, and every length in it and in the result is in that unit.

# %%
order = {
    "unit": "cm",
    "body": {"waist": 74, "hip": 101, "hip_depth": 20.5, "length": 62},
    "ease": {"waist": 1.5, "hip": 5},
}
result = json.loads(kirtle.draft_json(json.dumps(order)))
list(result)

# %% [markdown]
# What a cutter asks first: how much is taken in on half the garment, where, and in which darts.

# %%
print(json.dumps(result["suppression"], indent=2))
for half in ("back", "front"):
    for dart in result[half]["darts"]:
        print(f"{half} dart: {dart['intake']:.1f} cm wide, {dart['length']:.1f} cm long")

# %% [markdown]
# The outline is a list of edges. Each has a role and its points: two of a straight line, four of a cubic curve. This is all
# that a program needs to draw it.

# %%
for edge in result["back"]["edges"]:
    print(f"{edge['role']:<7}{len(edge['points'])} points, {edge['length']:5.1f} cm long")

# %% [markdown]
# The same request makes a `Draft`, which a notebook shows as its drawing. For a page, `draft.svg(fit=True)` is a drawing that
# fills its place.

# %%
draft = kirtle.Draft.from_json(json.dumps(order))
draft

# %% [markdown]
# ## The schema makes the form
#
# `kirtle.schema` gives JSON Schema 2020-12. The form reads its fields from it, so that no limit is written down twice.

# %%
centimetres = next(one for one in kirtle.schema("request")["oneOf"] if one["properties"]["unit"]["const"] == "cm")
for part in ("body", "ease"):
    for name, field in centimetres["properties"][part]["properties"].items():
        print(f"{part}.{name:<10}{field['minimum']:>6g} to {field['maximum']:<5g} {field['description']}")

# %% [markdown]
# ## All problems at once
#
# Somebody types the waist in inches, forgets the length, and writes the hip as text. The error lists everything that is
# wrong, so that the form can mark all three fields after one try.

# %%
wrong = {"unit": "cm", "body": {"waist": 29, "hip": "101", "hip_depth": 20.5}, "ease": {"waist": 1.5, "hip": 5}}
try:
    kirtle.draft_json(json.dumps(wrong))
except kirtle.InputError as error:
    for problem in error.problems:
        print(f"{problem.field:<14}{problem.code:<14}{problem.message}")

# %% [markdown]
# Each problem has its field, value, limit and unit apart from the sentence, so that a form in another language can make its
# own sentence from them.
#
# Some things are wrong only together. Every number below is within its range, yet the hem would lie above the hip line.

# %%
short = order | {"body": {"waist": 74, "hip": 101, "hip_depth": 20.5, "length": 18}}
try:
    kirtle.draft_json(json.dumps(short))
except kirtle.InputError as error:
    print(error.to_json())

# %% [markdown]
# ## The service
#
# Status and body, for whatever web framework stands around it. `to_json` is described by `kirtle.schema("error")`.


# %%
def answer(request: str) -> tuple[int, str]:
    """The status and the document that answer a request."""
    try:
        return 200, kirtle.draft_json(request)
    except kirtle.InputError as error:
        return 422, error.to_json()


for request in (json.dumps(order), json.dumps(wrong), "waist=74"):
    status, document = answer(request)
    print(status, document[:90], "…")

# %% [markdown]
# ## With the pattern and the lay
#
# Where the request says how to cut and on what cloth, the result has the pattern, ready to cut, and how much cloth to buy.

# %%
full = order | {
    "cutting": {"preset": "garment", "name": "Order 17"},
    "cloth": {"width": 140, "folded": True},
}
answered = json.loads(kirtle.draft_json(json.dumps(full)))
print("allowances:", answered["pattern"]["allowances"])
print("buy", answered["lay"]["to_buy_cm"], "cm of cloth")

# %% [markdown]
# A result is data about geometry. It does not judge fit: make a trial garment first.
