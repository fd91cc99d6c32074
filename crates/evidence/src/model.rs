//! From a find to a problem: parameters with priors, stations, observations.
