"""Charts as Vega-Lite specifications with named datasets: one specification serves a file and the page."""
