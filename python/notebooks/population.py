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
# # Whom does a size chart fit?
#
# A college runs a workwear room. It cuts skirts in twelve sizes and wonders why so many need alteration. No one has measured the
# students, so this notebook uses simulated people. For a real table with the columns `waist` and `hip` the steps are the same.
#
# Each section asks one question. Run its cells from top to bottom.

# %%
import pandas as pd
import kirtle
from kirtle import plots

# %% [markdown]
# ## Who are the people?
#
# `kirtle.simulate` draws bodies of a published population, by default the women of a survey of 2012: its means, standard deviations
# and correlation. Equal seeds give equal people.

# %%
people = kirtle.simulate(10_000, seed=17)
pd.DataFrame.from_arrow(people).describe().loc[["mean", "std", "min", "max"]].round(1)

# %% [markdown]
# The survey measured the waist at the navel, which is lower and wider than the waist of a skirt. This explains much of what follows.
# Measure your own people at the waist of the garment before you blame a chart.
#
# ## Can each of them have a skirt?
#
# `kirtle.draft_table` drafts every body: one row out for each row in. The table says how many are refused, and why.

# %%
ease = kirtle.Ease(waist=1.5, hip=5)
drafts = kirtle.draft_table(people, ease=ease)
drafts

# %% [markdown]
# ## How many darts do they need?
#
# Rows: darts in half of the back. Columns: darts in half of the front.

# %%
drafted = pd.DataFrame.from_arrow(drafts)
pd.crosstab(drafted["back_darts"], drafted["front_darts"], normalize=True).map("{:.1%}".format)

# %% [markdown]
# Few get two darts in back and front. That is not a law of bodies: it rests on waists measured at the navel, and on the rule that a
# single dart takes in up to 3 cm. With a largest dart of 2 cm about half of these people get two and two.
#
# ## Whom does the chart serve?
#
# Each person goes to the nearest size. The size *serves* her if the ease that it leaves differs from the wanted ease by at most 2 cm,
# at the waist and at the hip. Else she is *not served*: her nearest size needs alteration.

# %%
chart = kirtle.SizeChart.demo()
fit = kirtle.fit_chart(chart, people, ease=ease, tolerance=2)
ax = plots.chart_fit(fit)

# %% [markdown]
# ## Where does it miss?

# %%
fit.unserved

# %% [markdown]
# Each number counts the people for whom the nearest size is too tight or too loose at one place. For one person it can be tight at the
# waist *and* loose at the hip. She counts twice, so the numbers add up to more than the people who are not served:

# %%
sum(fit.unserved.values()), fit.count - fit.unmeasured - fit.served

# %% [markdown]
# ## Why does it miss?
#
# Each mark is a person. The sizes lie on one line, and the people do not.

# %%
ax = plots.population(people, chart=chart, fit=fit)

# %% [markdown]
# ## Which people does it miss most?
#
# The plane in squares: a larger square has more people, a darker one serves more of them.

# %%
ax = plots.regions(fit, step=5)

# %% [markdown]
# ## How good could a chart be?
#
# `kirtle.best_chart` looks for the sizes that serve most people, and proves a bound that no chart with the same number of sizes can beat.
# "Not served" here compares girths: her size differs from her by more than 2 cm.

# %%
charts = [kirtle.best_chart(people, sizes, loss="within", tolerance=2, restarts=4) for sizes in (2, 4, 6, 9, 12)]
ax = plots.best_charts(charts)

# %% [markdown]
# The upper line is what was found, the lower line what is proven. The best chart lies between them.
#
# ## Where would better sizes lie?
#
# Among the people, instead of along one line:

# %%
ax = plots.population(people, chart=charts[-1])

# %% [markdown] tags=["uncertainty"]
# ## How exact is a draft?
#
# Two measurements of one girth are seldom equal. ISO 20685 limits the difference between two methods of measuring: 9 mm at waist and
# hip, 5 mm at the hip depth. Take these limits as standard errors.

# %%
errors = kirtle.StandardErrors.iso_20685()
draft = kirtle.draft(chart["50"], ease=ease)
draft.uncertainty(errors)

# %% [markdown]
# "Standard error" is computed by exact derivatives, "spread" from drafts with random errors. They agree here: a millimetre at each dart.
#
# The level of the hip line is the least certain, and with it the dart tips, because the length of a dart is a share of the hip depth:

# %%
ax = plots.ellipses(draft, errors, magnify=2)

# %% [markdown]
# ## Which measurement should be taken twice?
#
# Whichever changes the dart most:

# %%
ax = plots.sensitivity(draft, "back.darts[0].intake", errors=errors)

# %% [markdown]
# ## When do standard errors mislead?
#
# Where the number of darts is not certain: another measurement, another number. Derivatives of one draft know nothing of that. One student
# measures 74 cm at the waist and 101 cm at the hip; in the front she is between one dart and two.

# %%
student = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62)
uncertain = kirtle.draft(student, ease=ease).uncertainty(errors, drafts=20_000)
uncertain

# %% [markdown]
# The standard error of the front dart is small, and wrong: the spread is nine times as large, because in many of these drafts one large
# dart takes the place of two. Trust the spread there, and look at the darts before you cut.
#
# ## What do these numbers leave out?
#
# The shares come from one random sample of a model. Another seed gives slightly different shares, and the students of the college may
# differ more. Whether a skirt fits shows only in a trial garment.
