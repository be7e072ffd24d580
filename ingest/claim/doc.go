// Package claim tells which systems an upload belongs to, and of one that none claims which
// it looks like.
package claim
