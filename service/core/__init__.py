"""The pure core: values, ports and errors."""
