// Package understood holds how a file was understood: every decision with its evidence,
// what was left out and why, and what only the user can settle. It is what readings keep as
// JSON, what rimelog explain prints and what the account of uploads is made from.
package understood
