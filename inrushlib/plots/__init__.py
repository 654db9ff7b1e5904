"""Pictures: each takes data and axes and returns the axes. Nothing below this draws."""
