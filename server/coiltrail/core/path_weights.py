"""What the paths of components weigh before any finding that ties them to others."""


def path_weights(model, clamped):
    """Prior weight of the paths of every component times what looks at it say; none for paths not ``clamped`` to."""
    weights = [list(component.weights) for component in model.components]
    for index, generation, by_state, _ in model.looks:
        component = model.components[index]
        for path, states in enumerate(component.paths):
            weights[index][path] *= by_state.get(component.states[states[generation]]["state"], 1.0)
    for index in clamped:
        for path in range(len(weights[index])):
            if path not in clamped[index]:
                weights[index][path] = 0.0
    return weights
