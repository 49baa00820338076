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
# # A chart of sizes and the people it is for
#
# A college runs a workwear room for its students. The room cuts skirts in twelve sizes and wonders why so many need alteration.
# There is no survey of the students, so this notebook uses simulated people. The steps are the same for a real table with the
# columns `waist` and `hip`.

# %%
import numpy as np
import pandas as pd
import pyarrow as pa

import kirtle
from kirtle import plots

EASE = kirtle.Ease(waist=1.5, hip=5)

# %% [markdown]
# ## The people
#
# `kirtle.simulate` draws bodies of a published population. The default is the women of a survey of 2012, with published means,
# standard deviations and correlation. Equal seeds give equal people.
#
# The survey measured the waist at the navel, which is lower and wider than the waist of a skirt. This difference explains much of
# the following results. Measure your own people at the waist of the garment before you blame a chart.

# %%
people = kirtle.simulate(10_000, seed=17)
table = pa.table(people).to_pandas()
table.describe().loc[["mean", "std", "min", "max"]].round(1)

# %% [markdown]
# ## A skirt for each of them
#
# `kirtle.draft_table` drafts every body, one output row for each input row. A body that cannot be drafted has a row with the reason in
# `error_text`.

# %%
drafts = kirtle.draft_table(people, ease=EASE)
drafted = pd.DataFrame.from_arrow(drafts)
print(drafts)

# %% [markdown]
# How many darts does half of the back need, and half of the front? The usual block of textbooks, with two darts in each, suits few of
# these people.

# %%
pd.crosstab(drafted["back_darts"], drafted["front_darts"], normalize=True).map("{:.1%}".format)

# %% [markdown]
# ## Whom the chart serves
#
# A size serves a person if the ease on the body differs from the wanted ease by at most 2 cm, at the waist and at the hip.

# %%
chart = kirtle.SizeChart.demo()
fit = kirtle.fit_chart(chart, people, ease=EASE, tolerance=2)
print(fit)
print({bound: count for bound, count in fit.unserved.items() if count})
ax = plots.chart_fit(fit)

# %% [markdown]
# The plot by size shows *that* many people are not served. The plane of waist and hip shows *why*: the sizes lie on one line, and the
# people do not.

# %%
ax = plots.population(people, chart=chart, fit=fit)

# %% [markdown]
# In squares of the plane, a larger square has more people, and a darker square has a larger share of served people.

# %%
ax = plots.regions(fit, step=5)

# %% [markdown]
# ## Better sizes
#
# `kirtle.best_chart` searches for the sizes that serve these people best, and computes a bound that no chart with the same number of
# sizes can beat. The loss here is the share of people farther than 2 cm from their size.

# %%
counts = (2, 4, 6, 9, 12)
charts = [kirtle.best_chart(people, sizes, loss="within", tolerance=2, restarts=4) for sizes in counts]
for best in charts:
    print(f"{len(best.sizes):>2} sizes: {1 - best.loss:.0%} served; no chart can serve more than {1 - best.bound:.0%}")
ax = plots.best_charts(charts, loss="within")

# %% [markdown]
# The best twelve sizes lie among these people instead of along one line:

# %%
ax = plots.population(people, chart=charts[-1])

# %% [markdown] tags=["uncertainty"]
# ## Errors of measurement
#
# Two measurements of a girth are seldom equal. ISO 20685 limits the difference between two methods of measuring: 9 mm at waist and
# hip, 5 mm at the hip depth. If these limits are standard errors, how uncertain is a draft?

# %%
body = chart["50"]
draft = kirtle.draft(body, ease=EASE)
errors = kirtle.StandardErrors.iso_20685()
uncertainty = draft.uncertainty(errors)
quantities = ["suppression.total", "back.darts[0].intake", "back.width", "back.waist_lowering", "side_seam"]
pd.DataFrame.from_arrow(uncertainty).set_index("quantity").loc[quantities].round(3)

# %% [markdown]
# The standard error is a millimetre at each dart and a third of a millimetre at the side seam. The level of the hip line is the least
# certain, and with it the dart tips, because the length of a dart is a share of the hip depth:

# %%
ax = plots.ellipses(draft, errors, magnify=2)

# %% [markdown]
# Which of the three measurements changes a dart most?

# %%
ax = plots.sensitivity(draft, "back.darts[0].intake", errors=errors)

# %% [markdown]
# These standard errors are propagated to first order, by the exact derivatives. Is first order accurate enough? As a test, draw 100,000
# random measurements of the same body, draft each, and compute the standard deviations:

# %%
rng = np.random.default_rng(17)
standard_errors = {"waist": 0.9, "hip": 0.9, "hip_depth": 0.5}
spread = {name: rng.normal(getattr(body, name), error, 100_000) for name, error in standard_errors.items()}
measured = kirtle.draft_table(pa.table(spread), columns={"length": body.length}, ease=EASE)
simulated_drafts = pd.DataFrame.from_arrow(measured)
print("darts:", simulated_drafts.groupby(["back_darts", "front_darts"]).size().to_dict())
columns = {"suppression.total": "suppression_total", "back.darts[0].intake": "back_dart1_intake", "side_seam": "side_seam"}
for name, column in columns.items():
    print(f"{name:<22}predicted {uncertainty[name]:.4f} cm, in 100,000 drafts {simulated_drafts[column].std():.4f} cm")

# %% [markdown]
# The two results agree to a few parts in a thousand, because nearly all of these drafts have the same number of darts. If the number of
# darts changes within the errors, as it does two sizes up, only the drafts give the right standard deviation.
#
# ## What these numbers leave out
#
# The shares above come from one random sample of a model. Another seed gives slightly different shares, and the students of the
# college may differ more from the survey. Whether a skirt fits shows only in a trial garment.
