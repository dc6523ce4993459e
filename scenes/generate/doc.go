// Package generate computes scenes of brightness: tides, tickers, clocks, test patterns.
package generate
