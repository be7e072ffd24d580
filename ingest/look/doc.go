// Package look finds out what a file is, whatever the register says.
package look
