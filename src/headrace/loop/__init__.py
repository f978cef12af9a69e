"""Parts placed and joined, the route type, states, limits and the build file."""
