// Package chart draws the figures of the report as pure data.
//
//  1. A figure's typed options are built with go-echarts: axes, series, marks.
//  2. What its types cannot say is laid over them as plain maps (option.go).
//  3. The result is JSON without a line of code in it. Colours are names of the
//     page's own style ("$css:--measure"), the few functions are names from a
//     fixed table of the page's own script ("$fn:band").
//
// go-echarts' own rendering is never used: it lets a series' name end the script
// element, and turns a NaN into an empty figure. Here every number passes num,
// which makes a gap of what is not a number.
//
// The opinion: a figure has a sentence that says what it shows, its units on the
// axes, its uncertainty, how many readings over which period, and the table it is
// drawn from. A gap stays a gap. Nothing is told apart by colour alone.
package chart
