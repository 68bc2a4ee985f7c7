// Stands in for the `server-only` marker, which refuses to load outside the framework's server.
export {};
