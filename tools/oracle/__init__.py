"""Long sampling runs of the mixed model of takes, stored so that a faster engine can be held against them.

The model
---------
A cell is a combination of factor levels and covariates. Of its n grafts y took:

    y ~ Binomial(n, logistic(eta)),   eta = intercept + sum of slope * covariate + sum over factors k of u_k[level]
    u_k[level] ~ Normal(0, sigma_k),  sigma_k ~ HalfNormal(s_k),  intercept ~ Normal(m, s),  slope ~ Normal(0, s_slope)

Covariates are used as they are stored: mean 0, sd 1 over grafts. HalfNormal(s) is the absolute value of Normal(0, s).

The files
---------
One NPZ a data set, `tests/data/oracle/<name>.npz`, readable by `numpy.load` without pickle; `oracle.store.read` reads it too.

Cells, one entry each:
    `grafts`, `takes`      int64
    `factor_<factor>`      int64, codes 0 .. levels − 1; each code occurs
    `covariate_<name>`     float64
Priors, one number each:
    `prior_intercept_mean` m, `prior_intercept_sd` s, `prior_slope_sd_<covariate>` s_slope, `prior_scale_<factor>` s_k
Posterior, one entry a quantity, in the order of `names` (missing in a file whose chains have not been run):
    `names`                `fixed:intercept`, `fixed:<covariate>`, `scale:<factor>`, `effect:<factor>:<code>`,
                           `rate_at_reference:<cultivar code>`, `long_run_rate:<cultivar code>`
    `mean`, `sd`, `q05`, `q25`, `q50`, `q75`, `q95`
    `mcse_mean`, `mcse_sd`, `mcse_q05` .. `mcse_q95`     Monte-Carlo standard error of each of these
    `width90`, `mcse_width90`    q95 − q05; its error as if the two ends erred independently, which is on the safe side
    `ess_bulk`, `ess_q05`, `ess_q95`, `r_hat`            rank-normalised, of split chains
`metadata`                 a JSON text: seeds, true values of the simulation, versions, date, chains, divergences, seconds

`rate_at_reference` is logistic(intercept + u_cultivar). `long_run_rate` is logistic(intercept + u_cultivar + shock) averaged over
shock ~ Normal(0, square root of the sum of sigma² of all factors but cultivar), within each draw; covariates are 0 in both.

To make them again, from the root of the repository, with the extra `oracle` installed (`pip install -e .[oracle]`):

    PYTHONPATH=tools python -m oracle cells        # the cells and priors alone; seconds
    PYTHONPATH=tools python -m oracle chains       # the posteriors too; see the README beside the files for how long
"""
