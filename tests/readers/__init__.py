"""Our feeds before readers and servers that share no code with ours."""
