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
# # How does a form on a website get its skirt?
#
# A sewing room takes orders through a form: four measurements and the ease. A small service behind the form answers with a draft, a
# pattern and a lay, or with everything that is wrong in the input. This notebook builds the service from JSON in to JSON out.
#
# Each section asks one question. Run its cells from top to bottom.

# %%
import json
import kirtle

# %% [markdown]
# ## What does the service read?
#
# One JSON document. It names its unit, and every length in request and result is in this unit.

# %%
body = {"waist": 74, "hip": 101, "hip_depth": 20.5, "length": 62}
order = {"unit": "cm", "body": body, "ease": {"waist": 1.5, "hip": 5}}

# %% [markdown]
# ## What does it answer?

# %%
result = json.loads(kirtle.draft_json(json.dumps(order)))
list(result)

# %% [markdown]
# A cutter first asks how much is taken in, and where.

# %%
result["suppression"]

# %%
[(dart["intake"], dart["length"]) for dart in result["back"]["darts"]]

# %% [markdown]
# ## How does a program draw the outline?
#
# It is a list of edges. Each edge has a role and its points: two for a straight line, four for a cubic Bézier curve. A program needs
# nothing else.

# %%
[(edge["role"], len(edge["points"])) for edge in result["back"]["edges"]]

# %% [markdown]
# ## What does the customer see?
#
# `Draft.from_json` reads the same request, and a notebook shows the draft as a drawing. For a web page, `draft.svg(fit=True)` fills its
# container.

# %%
draft = kirtle.Draft.from_json(json.dumps(order))
draft

# %% [markdown]
# ## Where does the form get its fields and limits?
#
# From the JSON Schema 2020-12, so that no limit is written twice. The limits depend on the unit: `else` has those in centimetres,
# `then` those in inches.

# %%
schema = kirtle.schema("request")
schema["else"]["properties"]["body"]["properties"]

# %%
{name: field["description"] for name, field in schema["$defs"]["Body"]["properties"].items() if "description" in field}

# %% [markdown]
# ## What if the customer makes mistakes?
#
# This one types the waist in inches, forgets the length, and writes the hip as text. The error lists every problem, so the form can mark
# all three fields after one try.

# %%
invalid = order | {"body": {"waist": 29, "hip": "101", "hip_depth": 20.5}}
try: kirtle.draft_json(json.dumps(invalid))
except kirtle.InputError as error: print(error)

# %% [markdown]
# Each problem has code, field, value, limit and unit by themselves, so that a form in another language can write its own message:

# %%
try: kirtle.draft_json(json.dumps(invalid))
except kirtle.InputError as error: print(error.problems[0].to_dict())

# %% [markdown]
# ## What if each number is right, but not all together?
#
# Every number below is within its range, but the hem would be above the hip line.

# %%
short = order | {"body": body | {"length": 18}}
try: kirtle.draft_json(json.dumps(short))
except kirtle.InputError as error: print(error)

# %% [markdown]
# ## What is the whole service?
#
# This function, for any web framework. It gives the HTTP status and the JSON body; that of an error follows `kirtle.schema("error")`.

# %%
def respond(request: str) -> tuple[int, str]:
    try: return 200, kirtle.draft_json(request)
    except kirtle.InputError as error: return 422, error.to_json()

# %%
[respond(request)[0] for request in (json.dumps(order), json.dumps(invalid), "waist=74")]

# %% [markdown]
# ## What does the cutter get?
#
# With `cutting` and `cloth` in the request, the result has the pattern, ready to cut, and the length of cloth to buy. Here are the
# pieces with their allowances, as the service would send them:

# %%
full = order | {"cutting": {"preset": "garment", "name": "Order 17"}, "cloth": {"width": 140, "folded": True}}
kirtle.Pattern.from_json(json.dumps(full))

# %% [markdown]
# ## How much cloth to buy?

# %%
lay = kirtle.Lay.from_json(json.dumps(full))
lay

# %%
lay.to_buy_cm, json.loads(respond(json.dumps(full))[1])["lay"]["to_buy_cm"]

# %% [markdown]
# A result describes geometry, not fit: make a trial garment first.
