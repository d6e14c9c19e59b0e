"""From the numbers of the core to what a grower acts on."""
