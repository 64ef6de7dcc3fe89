//! Checks of the main job against things nobody here made: one module a source family, each a table
//! of input → expected with its source beside it.

#[cfg(test)]
mod bundles;
#[cfg(test)]
mod calendar;
#[cfg(test)]
mod commands;
#[cfg(test)]
mod currencies;
#[cfg(test)]
mod development_database;
#[cfg(test)]
mod durations;
#[cfg(test)]
mod durations_scipy;
#[cfg(test)]
mod eggs_and_water;
#[cfg(test)]
mod families;
#[cfg(test)]
mod forecast;
#[cfg(test)]
mod genetics;
#[cfg(test)]
mod labels;
#[cfg(test)]
mod shares;
#[cfg(test)]
mod spreadsheets;
#[cfg(test)]
mod units;
