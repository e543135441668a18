"""The model, the only folder that imports the sampler: specification, priors, design, fit, health gate."""
