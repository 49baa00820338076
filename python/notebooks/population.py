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
# A college runs a workwear room for its students. It cuts skirts in twelve sizes and wonders why so many have to be altered.
# There is no survey of the students, so we try things out on simulated people first. The steps are the same for a real table
# with columns `waist` and `hip`.

# %%
import pandas as pd
import pyarrow as pa

import kirtle
from kirtle import plots

EASE = kirtle.Ease(waist=1.5, hip=5)

# %% [markdown]
# ## The people
#
# `kirtle.simulate` draws bodies of a published population: by default women of a survey of 2012, by the means, deviations and
# correlation that were published. The same seed gives the same people.
#
# In that survey the waist was taken at the navel, lower and wider than where a skirt sits. Much of what follows comes of that:
# measure your own people, where the garment is to sit, before you blame a chart.

# %%
people = kirtle.simulate(10_000, seed=17)
table = pa.table(people).to_pandas()
table.describe().loc[["mean", "std", "min", "max"]].round(1)

# %% [markdown]
# ## A skirt for each of them
#
# `kirtle.draft_table` drafts them all, one row out for each row in. A body that cannot be drafted keeps its row, and the row
# says why in `error_text`.

# %%
drafts = kirtle.draft_table(people, ease=EASE)
drafted = pd.DataFrame.from_arrow(drafts)
print(drafts)

# %% [markdown]
# How many darts does half of the back need, and half of the front? The block with two of each, as it stands in many a book, suits
# few of these people.

# %%
pd.crosstab(drafted["back_darts"], drafted["front_darts"], normalize=True).map("{:.1%}".format)

# %% [markdown]
# ## Whom the chart serves
#
# A size serves a person if the ease that is left on the body is what was asked for, give or take 2 cm, at waist and hip both.

# %%
chart = kirtle.SizeChart.demo()
fit = kirtle.fit_chart(chart, people, ease=EASE, tolerance=2)
print(fit)
print({why: count for why, count in fit.unserved.items() if count})
ax = plots.chart_fit(fit)

# %% [markdown]
# The plot by size says *that* many are not served. The plane of waist and hip says *why*: the sizes lie on one line, and the
# people do not.

# %%
ax = plots.population(people, chart=chart, fit=fit)

# %% [markdown]
# The same by squares of the plane: the larger a square, the more people; the darker, the larger the share that is served.

# %%
ax = plots.regions(fit, step=5)

# %% [markdown]
# ## Better sizes
#
# `kirtle.best_chart` seeks the sizes that serve these people best, and says what no chart of so many sizes could better. Here
# with the loss that counts people who are farther than 2 cm from their size.

# %%
counts = (2, 4, 6, 9, 12)
charts = [kirtle.best_chart(people, sizes, loss="within", tolerance=2, restarts=4) for sizes in counts]
for one in charts:
    print(f"{len(one.sizes):>2} sizes: {1 - one.loss:.0%} served; no chart can serve more than {1 - one.bound:.0%}")
ax = plots.best_charts(charts, loss="within")

# %% [markdown]
# Twelve sizes where these people are, instead of along one line:

# %%
ax = plots.population(people, chart=charts[-1])

# %% [markdown] tags=["uncertainty"]
# ## What these numbers leave out
#
# The shares above are those of one sample, and of a model of the people. Another seed gives a slightly other share; the students
# of the college may differ from the survey by more. Tapes differ, too: a girth that is measured twice is seldom the same. And
# whether a skirt fits is judged in a trial garment, not here.
